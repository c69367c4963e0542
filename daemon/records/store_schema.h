// The tables of the record store, and the check that a file has them. FORMATS.md describes them.
//
// Errors: Failure (exit 1) with one line for a file that isn't a store or was made by a newer program;
// SQLite::Exception for the disk.
#pragma once

#include <SQLiteCpp/Database.h>

namespace quietpass {

inline constexpr int kSchemaVersion = 3;

// Makes the tables, or adds to a store of an older program those that it lacks.
void prepare_schema(SQLite::Database& database);

} // namespace quietpass
