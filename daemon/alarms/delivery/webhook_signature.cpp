#include "daemon/alarms/delivery/webhook_signature.h"

#include <sodium.h>

#include <array>

namespace quietpass {

namespace {

const unsigned char* bytes_of(const std::string& text) {
    return reinterpret_cast<const unsigned char*>(text.data());
}

} // namespace

std::string webhook_signature(const std::string& key, std::int64_t utc_s, const std::string& body) {
    const std::string head = std::to_string(utc_s) + ".";
    crypto_auth_hmacsha256_state state;
    crypto_auth_hmacsha256_init(&state, bytes_of(key), key.size());
    crypto_auth_hmacsha256_update(&state, bytes_of(head), head.size());
    crypto_auth_hmacsha256_update(&state, bytes_of(body), body.size());
    std::array<unsigned char, crypto_auth_hmacsha256_BYTES> code{};
    crypto_auth_hmacsha256_final(&state, code.data());
    std::array<char, 2 * crypto_auth_hmacsha256_BYTES + 1> hex{};
    sodium_bin2hex(hex.data(), hex.size(), code.data(), code.size());
    return hex.data();
}

} // namespace quietpass
