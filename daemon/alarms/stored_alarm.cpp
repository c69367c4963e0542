#include "daemon/alarms/stored_alarm.h"

#include <map>
#include <utility>

#include "daemon/alarms/alarm_cause.h"

namespace quietpass {

namespace {

void take(StoredAlarm& alarm, const AlarmEventRow& row) {
    if (row.event == "raised" || row.event == "again") {
        const auto cause = alarm_cause_from(row.cause);
        const bool once_more = row.count > alarm.last_seen.count;
        if (row.event == "raised") {
            alarm.raised_ns = row.utc_ns;
            alarm.state = "raised";
        } else if (once_more && cause && nature_of(*cause).anew) {
            alarm.state = "raised";
        }
        alarm.last_seen = row;
    } else if (row.event == "acknowledged" && alarm.open()) {
        alarm.state = "acknowledged";
        alarm.acknowledged_by = row.by;
    } else if (row.event == "cleared") {
        alarm.state = "cleared";
    }
    alarm.events.push_back(row);
}

} // namespace

std::vector<StoredAlarm> alarms_in(std::span<const AlarmEventRow> rows) {
    std::map<std::int64_t, StoredAlarm> alarms;
    for (const AlarmEventRow& row : rows) take(alarms[row.alarm_id], row);
    std::vector<StoredAlarm> listed;
    for (auto& [id, alarm] : alarms) {
        // A row of a person without an alarm belongs to nothing.
        if (!alarm.state.empty() && alarm.id() == id) listed.push_back(std::move(alarm));
    }
    return listed;
}

} // namespace quietpass
