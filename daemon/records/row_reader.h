// SQL to store rows.
//
// Errors: SQLite::Exception; std::runtime_error for a word in the store that this program doesn't know. Not
// thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include <optional>
#include <vector>

#include "daemon/records/store_rows.h"

namespace quietpass {

std::vector<StoredShift> read_shifts(SQLite::Database& database, bool open_only);

// Those that start before `to_utc_ns` and end at or after `from_utc_ns`, or go on; oldest first. Without
// both: all. The records of the others stay unread: after ten years there are thousands.
std::vector<StoredShift> read_shifts_between(SQLite::Database& database,
                                             const std::optional<std::int64_t>& from_utc_ns,
                                             const std::optional<std::int64_t>& to_utc_ns);

// The newest of them, so many at most, older than `before_shift` where that is given; oldest first.
std::vector<StoredShift> read_newest_shifts(SQLite::Database& database, std::int64_t most,
                                            const std::optional<std::int64_t>& before_shift = {});

// Nothing for an unknown id.
std::optional<StoredShift> read_stored_shift(SQLite::Database& database, std::int64_t shift_id);

std::optional<ShiftRows> read_shift_rows(SQLite::Database& database, std::int64_t shift_id);

} // namespace quietpass
