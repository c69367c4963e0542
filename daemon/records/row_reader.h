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

std::optional<ShiftRows> read_shift_rows(SQLite::Database& database, std::int64_t shift_id);

// In order of writing, those after this event_id.
std::vector<AlarmEventRow> read_alarm_events(SQLite::Database& database, std::int64_t after_event_id);

} // namespace quietpass
