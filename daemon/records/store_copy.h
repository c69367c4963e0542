// A whole copy of a store as one file, taken while others read and write it (SQLite's backup interface).
//
// The copy is made aside (FILE.part), read through by the checks given, and only then renamed to its name;
// a copy that can't be finished leaves nothing behind. Who may read the copy is who may read the original.
// Errors: Failure (exit 1), one line. Any thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <filesystem>
#include <functional>
#include <string>

namespace quietpass {

// Throws Failure or std::exception when the copy isn't what it must be.
using CopyCheck = std::function<void(SQLite::Database& copy)>;

// Replaces `to`.
void copy_store(const std::filesystem::path& from, const std::filesystem::path& to,
                const CopyCheck& check = {});

// Empty when the file is whole, else what SQLite's integrity check found, a line each.
std::string integrity_errors_of(SQLite::Database& database);

} // namespace quietpass
