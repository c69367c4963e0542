#include "daemon/alarms/delivery/standing_alarms.h"

#include <algorithm>

namespace quietpass {

bool takes(const std::vector<std::string>& list, const std::string& word) {
    return list.empty() || std::find(list.begin(), list.end(), word) != list.end();
}

StandingAlarms::StandingAlarms(const std::vector<StandingAlarm>& known) {
    for (const StandingAlarm& alarm : known) alarms_[alarm.alarm] = alarm;
}

void StandingAlarms::take(const AlarmMessage& message) {
    const std::lock_guard lock(mutex_);
    if (message.event == "raised" || message.event == "again") {
        alarms_[message.alarm] = {message.alarm, message.cause, message.severity, true};
    } else if (message.event == "acknowledged") {
        if (const auto found = alarms_.find(message.alarm); found != alarms_.end()) {
            found->second.calling = false;
        }
    } else if (message.event == "cleared") {
        alarms_.erase(message.alarm);
    }
}

bool StandingAlarms::calls(const std::vector<std::string>& severities,
                           const std::vector<std::string>& causes) const {
    const std::lock_guard lock(mutex_);
    return std::any_of(alarms_.begin(), alarms_.end(), [&](const auto& entry) {
        const StandingAlarm& alarm = entry.second;
        return alarm.calling && takes(severities, alarm.severity) && takes(causes, alarm.cause);
    });
}

} // namespace quietpass
