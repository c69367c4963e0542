#include "daemon/ledger/ed25519.h"

#include <sodium.h>

#include <array>

#include "daemon/ledger/chain.h"

namespace quietpass {
namespace {

// Lower-case only: of two spellings of one signature, one would be a change that is not seen.
template <std::size_t size>
bool read_hex(std::string_view text, std::array<unsigned char, size>& bytes) {
    if (text.size() != 2 * size) return false;
    if (text.find_first_not_of("0123456789abcdef") != std::string_view::npos) return false;
    return sodium_hex2bin(bytes.data(), size, text.data(), text.size(), nullptr, nullptr, nullptr) == 0;
}

using PublicKey = std::array<unsigned char, crypto_sign_PUBLICKEYBYTES>;

} // namespace

std::string key_id_of(std::string_view public_key) {
    PublicKey key{};
    if (!read_hex(public_key, key)) return {};
    ChainHash hash{};
    crypto_hash_sha256(hash.data(), key.data(), key.size());
    return hex_of(hash).substr(0, 16);
}

bool is_signed_by(std::string_view public_key, std::string_view bytes, std::string_view signature) {
    PublicKey key{};
    std::array<unsigned char, crypto_sign_BYTES> sign{};
    if (!read_hex(public_key, key) || !read_hex(signature, sign)) return false;
    return crypto_sign_verify_detached(sign.data(), reinterpret_cast<const unsigned char*>(bytes.data()),
                                       bytes.size(), key.data()) == 0;
}

} // namespace quietpass
