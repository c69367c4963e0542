// Puts a backup in the place of a store. The backup is verified first; the store that was there is kept
// beside it under another name. The caller holds the folder (no daemon there).
//
// Errors: Failure, one line, exit 1; the store is then as it was.
#pragma once

#include <filesystem>

#include "daemon/records/store_copy.h"

namespace quietpass {

struct Restored {
    std::filesystem::path put_aside; // the store that was there; empty: none
};

// lose_newer: also when the store has records that the backup lacks, or can't be read. check: of the backup's
// copy, before anything is moved.
Restored restore_store(const std::filesystem::path& backup, const std::filesystem::path& store,
                       bool lose_newer, const CopyCheck& check);

// Renames a database, its log with it, to FILE.replaced-1 or the next such name that is free. The new name.
// Errors: std::system_error.
std::filesystem::path put_aside(const std::filesystem::path& file);

// A copy is a whole store whose ledger fits (of an older version, that has none: whole).
void check_whole_ledger(SQLite::Database& copy);

} // namespace quietpass
