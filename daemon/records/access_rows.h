// The table accesses: who heard a clip, judged a call or took something out of the plant. FORMATS.md has the
// columns. Within the caller's transaction (Store::change). Errors: SQLite::Exception. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <string>

namespace quietpass {

struct Access {
    std::int64_t utc_ns = 0;
    std::string who;
    std::string
        what; // login, login_failed, logout, play, enter, withdraw, export, unmasked_export, report, users
    std::string subject; // "case 3", "clip 17"
    std::string detail;
};

// Gives the number of its record in the ledger.
std::int64_t add_access(SQLite::Database& database, const Access& access);

} // namespace quietpass
