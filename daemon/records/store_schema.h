// Sees to it that a file has the tables of the record store: makes them, or moves a store of an older program
// to this one's (store_migration.h). FORMATS.md describes the tables.
//
// Errors: Failure (exit 1) with one line for a file that isn't a store or was made by a newer program;
// SQLite::Exception for the disk.
#pragma once

#include <SQLiteCpp/Database.h>

#include <string>

namespace quietpass {

inline constexpr int kSchemaVersion = 4;

void prepare_schema(SQLite::Database& database);

// As `meta` has it; "none" where it has none, empty for a file without that table.
std::string schema_version_of(SQLite::Database& database);

} // namespace quietpass
