// SQL of what people enter into the record store: the journal and hand audits. Rows are only added, each
// chained in the ledger.
//
// add_…: in one IMMEDIATE transaction, on the disk when it returns; the id that was given. Errors:
// SQLite::Exception; std::runtime_error for a word in the store that this program doesn't know. Not
// thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <vector>

#include "daemon/records/hand_audit.h"
#include "daemon/records/journal_entry.h"

namespace quietpass {

std::int64_t add_entry(SQLite::Database& database, const JournalEntry& entry);
std::vector<JournalEntry> read_journal(SQLite::Database& database); // in the order entered

std::int64_t add_hand_audit(SQLite::Database& database, const HandAudit& audit);
std::vector<HandAudit> read_hand_audits(SQLite::Database& database); // in the order added

} // namespace quietpass
