// Checks all records of a store against its ledger in one pass: all evidence tables at once, merged by the
// numbers of their records. Reads only.
//
// Inside a snapshot of the caller's (a transaction), so that a daemon may go on writing. Errors:
// SQLite::Exception for a file that can't be read. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {

LedgerVerdict check_store(SQLite::Database& database, const LedgerTrust& trust = {});

} // namespace quietpass
