#include "daemon/records/sha256.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/files.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// NIST's published examples for SHA-256 (FIPS 180-4 example values): empty, "abc", a million times "a".
constexpr const char* kOfNothing = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
constexpr const char* kOfAbc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
constexpr const char* kOfAMillion = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";

} // namespace

TEST_CASE("SHA-256 of bytes equals the published examples") {
    CHECK(sha256_hex("") == kOfNothing);
    CHECK(sha256_hex("abc") == kOfAbc);
    CHECK(sha256_hex(std::string(1000000, 'a')) == kOfAMillion);
}

TEST_CASE("SHA-256 of a file equals that of its bytes, longer than one piece too") {
    const TestFolder temp;
    RealFiles files;
    files.write(temp / "empty", "");
    files.write(temp / "million", std::string(1000000, 'a'));
    CHECK(sha256_hex_of_file(temp / "empty") == kOfNothing);
    CHECK(sha256_hex_of_file(temp / "million") == kOfAMillion);
}

TEST_CASE("A file that can't be read is one line and exit 1") {
    const TestFolder temp;
    for (const std::filesystem::path& path : {temp / "missing", temp.path()}) {
        try {
            sha256_hex_of_file(path);
            FAIL("nothing was thrown");
        } catch (const Failure& failure) {
            CHECK(failure.exit_code() == kExitFailure);
            CHECK(std::string(failure.what()).find(path.string()) == 0);
        }
    }
}
