// Entering into the journal and withdrawing from it: what the commands and the page do alike. Within the
// caller's transaction (Store::change). Errors: Failure (exit 2) for an entry that can't be; SQLite::Exception.
// One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/records/journal_entry.h"

namespace quietpass {

// `until`: as the caller names what it was given as, for the failure.
std::int64_t enter_entry(SQLite::Database& database, const JournalEntry& entry,
                         const std::string& until = "until");

// The entry that is withdrawn, of this kind (an end of a lot is a lot's business too). Nothing: none of this
// number is in force.
std::optional<JournalEntry> withdraw_entry(SQLite::Database& database, EntryKind kind, std::int64_t id,
                                           const std::string& by, std::int64_t utc_ns);

} // namespace quietpass
