// Alarms as the store has them: for people who list and acknowledge them from another process than the
// daemon. Plain values; pure.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "daemon/records/store_rows.h"

namespace quietpass {

struct StoredAlarm {
    std::string state; // raised, acknowledged, cleared
    std::int64_t raised_ns = 0;
    std::string acknowledged_by; // empty: nobody
    AlarmEventRow last_seen;     // the latest raised or again: cause, source, severity, count, what …
    std::vector<AlarmEventRow> events;

    std::int64_t id() const { return last_seen.alarm_id; }
    bool open() const { return state != "cleared"; }
    std::int64_t changed_ns() const { return events.back().utc_ns; }
};

// From the rows in the order of writing; by number.
std::vector<StoredAlarm> alarms_in(std::span<const AlarmEventRow> rows);

} // namespace quietpass
