// SQL of what people enter into the record store: the journal and hand audits. Rows are only added, each
// chained in the ledger.
//
// add_…: within the caller's transaction (Store::change); the id that was given. Errors: SQLite::Exception;
// std::runtime_error for a word in the store that this program doesn't know. Not thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/records/hand_audit.h"
#include "daemon/records/journal_entry.h"

namespace quietpass {

std::int64_t add_entry(SQLite::Database& database, const JournalEntry& entry);
std::vector<JournalEntry> read_journal(SQLite::Database& database); // in the order entered

// What is in force of it from `from_utc_ns` on and before `to_utc_ns`: also the lot and the notes that began
// earlier. In the order entered.
std::vector<JournalEntry> read_journal_between(SQLite::Database& database, std::int64_t from_utc_ns,
                                               std::int64_t to_utc_ns);

// Nothing where it was never entered, is withdrawn, or is a withdrawal.
std::optional<JournalEntry> read_entry_in_force(SQLite::Database& database, std::int64_t id);

// Those in force, latest moment first; of one moment, the last entered first.
struct NewestEntries {
    std::vector<EntryKind> kinds;
    std::optional<std::int64_t> from_utc_ns;
    std::optional<std::int64_t> to_utc_ns; // up to, not with
    std::optional<std::int64_t> before;    // only those after this entry in the list
    int most = 100;
};
std::vector<JournalEntry> read_newest_entries(SQLite::Database& database, const NewestEntries& wish);

// Where the next lot, or end of lot, takes this one's place. Nothing: it holds on.
std::optional<std::int64_t> lot_end(SQLite::Database& database, const JournalEntry& lot);

// One that has an id already, as those begun by audit_event_rows.h do, keeps it.
std::int64_t add_hand_audit(SQLite::Database& database, const HandAudit& audit);
std::vector<HandAudit> read_hand_audits(SQLite::Database& database); // in the order added

// Nothing where it was never handed in, is withdrawn, or is a withdrawal.
std::optional<HandAudit> read_hand_audit(SQLite::Database& database, std::int64_t id);

// Also when it was withdrawn since.
bool is_handed_in(SQLite::Database& database, std::int64_t id);

// Rows of audits in force that are of these shifts, or of a moment between. In the order added.
struct HandAuditSpan {
    std::int64_t first_shift_id = 0;
    std::int64_t last_shift_id = 0;
    std::int64_t from_utc_ns = 0;
    std::int64_t to_utc_ns = 0; // up to, not with
};
std::vector<HandAuditRow> read_hand_audit_rows(SQLite::Database& database, const HandAuditSpan& span);

} // namespace quietpass
