// SHA-256 (FIPS 180-4, by libsodium) as 64 lower-case hex digits.
//
// Errors: a file that can't be read is a Failure (exit 1). Any thread.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace quietpass {

std::string sha256_hex(std::string_view bytes);

// Reads the file in pieces: any size.
std::string sha256_hex_of_file(const std::filesystem::path& file);

} // namespace quietpass
