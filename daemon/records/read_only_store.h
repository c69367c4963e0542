// A store's file opened for reading only: never changed, not even moved to this program's version, and also
// where nothing can be written (a copy on a read-only disk).
//
// Errors: Failure (exit 2) where there is no such file, 1 for one that can't be read or has no ledger. One
// thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <filesystem>
#include <memory>

namespace quietpass {

std::unique_ptr<SQLite::Database> open_for_reading(const std::filesystem::path& file);

// Fails with what to do when the store is of another version than this program's.
void check_version(SQLite::Database& database, const std::filesystem::path& file);

} // namespace quietpass
