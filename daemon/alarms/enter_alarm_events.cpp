#include "daemon/alarms/enter_alarm_events.h"

#include <unistd.h>

#include <algorithm>

#include "daemon/alarms/stored_alarm.h"
#include "daemon/failure.h"

namespace quietpass {

void enter_alarm_events(Store& store, const std::vector<std::int64_t>& alarms, const std::string& event,
                        const std::string& by, std::int64_t utc_ns) {
    const auto stored = alarms_in(store.alarm_events());
    std::vector<StoreRow> rows;
    for (const std::int64_t id : alarms) {
        const auto alarm = std::find_if(stored.begin(), stored.end(),
                                        [id](const StoredAlarm& one) { return one.id() == id; });
        if (alarm == stored.end()) {
            throw Failure(kExitUsage, "alarms: there is no alarm " + std::to_string(id) +
                                          "; `quietpass alarms list --all` lists those there are");
        }
        if (!alarm->open() || (event == "acknowledged" && alarm->state == "acknowledged")) {
            const std::string of = alarm->acknowledged_by.empty() || alarm->state == "cleared"
                                       ? ""
                                       : " by " + alarm->acknowledged_by;
            throw Failure(kExitFailure, "alarms: alarm " + std::to_string(id) + " is " + alarm->state + of +
                                            " already; nothing was changed");
        }
        AlarmEventRow row = alarm->last_seen;
        row.utc_ns = utc_ns;
        row.id =
            "person/" + std::to_string(id) + "/" + std::to_string(utc_ns) + "/" + std::to_string(getpid());
        row.event = event;
        row.by = by;
        row.told = false;
        row.what.clear();
        rows.emplace_back(row);
    }
    store.write(rows);
}

} // namespace quietpass
