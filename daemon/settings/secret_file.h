// Secrets from files of their own, so that none stands in a station file, a command line or a log. The file
// must belong to this user or root, must not be open to others, nor writable by the group: chmod 600, or 640
// with the daemon's group. Read at set-up only.
//
// Errors: Failure (exit 2), one line, never with anything from inside the file.
#pragma once

#include <string>

namespace quietpass {

struct Login {
    std::string user;
    std::string password;
};

// Two lines: user, password.
Login read_login(const std::string& path);

// One line, the key; at least 16 bytes (common practice; RFC 2104 section 3 advises the hash's length, 32).
std::string read_signing_key(const std::string& path);

} // namespace quietpass
