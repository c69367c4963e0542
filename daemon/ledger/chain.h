// The hash that ties a record to all before it:
//   hash(n) = SHA-256( hex(hash(n − 1)) + "\n" + line(n) + "\n" ),  hash(0) = 32 zero bytes
// with the canonical line of the record (record_line.h). A stranger checks one with
// `printf '%s\n%s\n' PREVIOUS LINE | sha256sum`. Pure; any thread.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

using ChainHash = std::array<unsigned char, 32>;

inline constexpr ChainHash kChainStart{};

ChainHash next_hash(const ChainHash& previous, std::string_view line);

// 64 lower-case hex digits, and back; nothing for any other text.
std::string hex_of(const ChainHash& hash);
std::optional<ChainHash> chain_hash_from(std::string_view hex);

} // namespace quietpass
