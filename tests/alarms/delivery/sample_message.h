// A message as the alarm engine makes them. Tests only.
#pragma once

#include <string>

#include "daemon/alarms/alarm_message.h"

namespace quietpass::test {

inline AlarmMessage sample_message(const std::string& id, const std::string& event = "raised",
                                   const std::string& alarm = "alarm-1",
                                   const std::string& severity = "at_once") {
    AlarmMessage message;
    message.id = id;
    message.alarm = alarm;
    message.cause = "call_after_stun";
    message.event = event;
    message.station = "box-2";
    message.utc_ns = 1'772'456'400'250'000'000; // 2026-03-02T13:00:00.250Z
    message.severity = severity;
    message.count = 2;
    message.headline = "Call after the stun, passage 17";
    message.text = "An animal called after the stun. A trained person checks it now.";
    message.facts = {{"passage", "17"}, {"level_db", "71.5"}};
    return message;
}

} // namespace quietpass::test
