#include "daemon/ledger/chain.h"

#include <sodium.h>

namespace quietpass {
namespace {

constexpr std::string_view kDigits = "0123456789abcdef";

const unsigned char* bytes_of(std::string_view text) {
    return reinterpret_cast<const unsigned char*>(text.data());
}

int value_of(char digit) {
    const std::size_t value = kDigits.find(digit);
    return value == std::string_view::npos ? -1 : static_cast<int>(value);
}

} // namespace

ChainHash next_hash(const ChainHash& previous, std::string_view line) {
    std::array<char, 65> head{};
    for (std::size_t i = 0; i < previous.size(); ++i) {
        head[2 * i] = kDigits[previous[i] >> 4];
        head[2 * i + 1] = kDigits[previous[i] & 15];
    }
    head[64] = '\n';
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, bytes_of({head.data(), head.size()}), head.size());
    crypto_hash_sha256_update(&state, bytes_of(line), line.size());
    crypto_hash_sha256_update(&state, bytes_of("\n"), 1);
    ChainHash hash;
    crypto_hash_sha256_final(&state, hash.data());
    return hash;
}

std::string hex_of(const ChainHash& hash) {
    std::string text;
    text.reserve(2 * hash.size());
    for (const unsigned char byte : hash) {
        text += kDigits[byte >> 4];
        text += kDigits[byte & 15];
    }
    return text;
}

std::optional<ChainHash> chain_hash_from(std::string_view hex) {
    ChainHash hash;
    if (hex.size() != 2 * hash.size()) return std::nullopt;
    for (std::size_t i = 0; i < hash.size(); ++i) {
        const int high = value_of(hex[2 * i]);
        const int low = value_of(hex[2 * i + 1]);
        if (high < 0 || low < 0) return std::nullopt;
        hash[i] = static_cast<unsigned char>(high * 16 + low);
    }
    return hash;
}

} // namespace quietpass
