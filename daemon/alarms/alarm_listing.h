// Stored alarms as text: a table of 80 columns in the station's time, CSV and JSON in UTC. FORMATS.md has the
// columns. Pure.
#pragma once

#include <span>
#include <string>

#include "daemon/alarms/stored_alarm.h"
#include "daemon/records/local_time.h"

namespace quietpass {

std::string alarm_table(std::span<const StoredAlarm> alarms, const LocalTime& time);
std::string alarm_csv(std::span<const StoredAlarm> alarms);
std::string alarm_json(std::span<const StoredAlarm> alarms, bool with_events);

// All that is known of one, with what to do.
std::string alarm_page(const StoredAlarm& alarm, const LocalTime& time);

} // namespace quietpass
