// Which alarms stand, from the messages that went by: what a lamp shows. An alarm calls from `raised` or
// `again` until `acknowledged` or `cleared`.
//
// Thread-safe: one lock.
#pragma once

#include <map>
#include <mutex>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_message.h"

namespace quietpass {

struct StandingAlarm {
    std::string alarm;
    std::string cause;
    std::string severity;
    bool calling = true; // false: acknowledged, not yet cleared
};

class StandingAlarms {
  public:
    explicit StandingAlarms(const std::vector<StandingAlarm>& known = {});

    void take(const AlarmMessage& message);

    // Whether one calls that has one of these severities and causes; an empty list means any.
    bool calls(const std::vector<std::string>& severities, const std::vector<std::string>& causes) const;

  private:
    mutable std::mutex mutex_;
    std::map<std::string, StandingAlarm> alarms_; // under mutex_; by id
};

// An empty list holds everything.
bool takes(const std::vector<std::string>& list, const std::string& word);

} // namespace quietpass
