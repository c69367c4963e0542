#include "daemon/records/sha256.h"

#include <sodium.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

#include "daemon/failure.h"

namespace quietpass {
namespace {

using Digest = std::array<unsigned char, crypto_hash_sha256_BYTES>;

std::string digits_of(const Digest& digest) {
    std::array<char, crypto_hash_sha256_BYTES * 2 + 1> text{};
    sodium_bin2hex(text.data(), text.size(), digest.data(), digest.size());
    return text.data();
}

struct CloseFile {
    void operator()(std::FILE* file) const { std::fclose(file); }
};

} // namespace

std::string sha256_hex(std::string_view bytes) {
    Digest digest{};
    crypto_hash_sha256(digest.data(), reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size());
    return digits_of(digest);
}

std::string sha256_hex_of_file(const std::filesystem::path& file) {
    const std::unique_ptr<std::FILE, CloseFile> in(std::fopen(file.c_str(), "rb"));
    const auto fail = [&file] {
        throw Failure(kExitFailure, file.string() + ": can't be read (" + std::strerror(errno) +
                                        "); check that the file is there and readable");
    };
    if (!in) fail();
    crypto_hash_sha256_state state;
    crypto_hash_sha256_init(&state);
    std::array<unsigned char, 65536> piece;
    while (const std::size_t got = std::fread(piece.data(), 1, piece.size(), in.get())) {
        crypto_hash_sha256_update(&state, piece.data(), got);
    }
    if (std::ferror(in.get())) fail();
    Digest digest{};
    crypto_hash_sha256_final(&state, digest.data());
    return digits_of(digest);
}

} // namespace quietpass
