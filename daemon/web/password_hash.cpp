#include "daemon/web/password_hash.h"

#include <sodium.h>

#include <array>
#include <new>

namespace quietpass {

std::string password_hash(std::string_view password) {
    std::array<char, crypto_pwhash_STRBYTES> text{};
    if (sodium_init() < 0 ||
        crypto_pwhash_str_alg(text.data(), password.data(), password.size(),
                              crypto_pwhash_OPSLIMIT_INTERACTIVE, crypto_pwhash_MEMLIMIT_INTERACTIVE,
                              crypto_pwhash_ALG_ARGON2ID13) != 0) {
        throw std::bad_alloc();
    }
    return text.data();
}

bool password_matches(const std::string& hash, std::string_view password) {
    if (password.size() > kLongestPassword || sodium_init() < 0) return false;
    return crypto_pwhash_str_verify(hash.c_str(), password.data(), password.size()) == 0;
}

void pretend_to_match(std::string_view password) {
    if (password.size() > kLongestPassword) return;
    static const std::string nobody = password_hash("nobody has this one");
    password_matches(nobody, password);
}

} // namespace quietpass
