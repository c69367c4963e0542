#include "daemon/settings/secret_file.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <string>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::string secret_failure(const std::string& path, bool key = false) {
    try {
        if (key) {
            read_signing_key(path);
        } else {
            read_login(path);
        }
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        return std::string(failure.what()).substr(path.size());
    }
    return "none";
}

} // namespace

TEST_CASE("a login is read from a file that only its owner and group may read", "[delivery]") {
    const TestFolder folder;
    const std::string path = folder.write("login", "stockman\nhush hush\r\n");
    for (const mode_t mode : {0600, 0400, 0640}) {
        chmod(path.c_str(), mode);
        const Login login = read_login(path);
        CHECK(login.user == "stockman");
        CHECK(login.password == "hush hush");
    }
    for (const mode_t mode : {0644, 0660, 0604, 0601}) {
        chmod(path.c_str(), mode);
        CHECK(secret_failure(path) == ": holds a secret and is open to others; run chmod 600 on it");
    }
}

TEST_CASE("a file without what is needed is refused, and nothing from inside it is told", "[delivery]") {
    const TestFolder folder;
    const std::string path = folder.write("login", "only-a-secret\n");
    chmod(path.c_str(), 0600);
    CHECK(secret_failure(path) == ": expected two lines, the user and the password");
    CHECK(secret_failure(folder.path("nowhere")) == ": can't be opened (No such file or directory)");
    CHECK(secret_failure(folder.path().string()) == ": is no file");
    const std::string key = folder.write("key", "short\n");
    chmod(key.c_str(), 0600);
    CHECK(secret_failure(key, true) ==
          ": expected one line, a key of at least 16 characters; `openssl rand -hex 32` makes one");
    CHECK(secret_failure(folder.write("open", "0123456789abcdef\n"), true) ==
          ": holds a secret and is open to others; run chmod 600 on it");
}
