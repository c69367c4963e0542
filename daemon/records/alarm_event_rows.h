// What befell alarms, as the store has it: raised, seen again, acknowledged, cleared.
//
// Errors: SQLite::Exception. Not thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/records/store_rows.h"

namespace quietpass {

// In order of writing, those after this event_id.
std::vector<AlarmEventRow> read_alarm_events(SQLite::Database& database, std::int64_t after_event_id);

// All rows of each alarm that was not cleared since it was last seen.
std::vector<AlarmEventRow> read_open_alarms(SQLite::Database& database);

// All rows of the newest alarms, so many at most, older than `before_alarm` where that is given.
std::vector<AlarmEventRow> read_newest_alarms(SQLite::Database& database, int most,
                                              const std::optional<std::int64_t>& before_alarm = {});

// All rows of each alarm that anything befell from `from_utc_ns` on and before `to_utc_ns`.
std::vector<AlarmEventRow> read_alarms_between(SQLite::Database& database, std::int64_t from_utc_ns,
                                               std::int64_t to_utc_ns);

} // namespace quietpass
