// Moves a store of schema version 1, 2 or 3 to version 4: every row gets the number of its record and is
// chained, in the order that FORMATS.md states. A verified copy of the file as it was is put beside it
// first: FILE.v3-20260308T050000Z.
//
// Errors: Failure when the copy can't be made; SQLite::Exception and std::runtime_error for the rest. The
// caller's transaction is then given up and the store is as it was.
#pragma once

#include <SQLiteCpp/Database.h>

#include <string>

namespace quietpass {

bool can_migrate_from(const std::string& version);

// Inside the caller's IMMEDIATE transaction.
void migrate(SQLite::Database& database, const std::string& version);

} // namespace quietpass
