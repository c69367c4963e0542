#include "daemon/journal/enter_entries.h"

#include "daemon/failure.h"
#include "daemon/records/people_rows.h"

namespace quietpass {

namespace {

EntryKind listed_as(EntryKind kind) {
    return kind == EntryKind::kLotEnd ? EntryKind::kLot : kind;
}

} // namespace

std::int64_t enter_entry(SQLite::Database& database, const JournalEntry& entry, const std::string& until) {
    if (entry.until_utc_ns && *entry.until_utc_ns <= entry.at_utc_ns)
        throw Failure(kExitUsage, until + " must be later than its beginning");
    const bool named = entry.text.find_first_not_of(" \t\n") != std::string::npos;
    if (entry.kind != EntryKind::kLotEnd && !named)
        throw Failure(kExitUsage, "the text is empty; give one");
    return add_entry(database, entry);
}

std::optional<JournalEntry> withdraw_entry(SQLite::Database& database, EntryKind kind, std::int64_t id,
                                           const std::string& by, std::int64_t utc_ns) {
    const std::optional<JournalEntry> entry = read_entry_in_force(database, id);
    if (!entry || listed_as(entry->kind) != listed_as(kind)) return std::nullopt;
    JournalEntry row;
    row.kind = EntryKind::kWithdrawn;
    row.at_utc_ns = utc_ns;
    row.added_utc_ns = utc_ns;
    row.by = by;
    row.withdraws = id;
    add_entry(database, row);
    return entry;
}

} // namespace quietpass
