// How an alarm of one cause behaves at this station. Plain value; spans in nanoseconds.
#pragma once

#include <cstdint>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/settings/alarm_settings.h"

namespace quietpass {

// What a restart leaves open is over when its detector hasn't seen it for so long: long enough for each to
// look (a microphone's health takes minutes). Common practice.
inline constexpr std::int64_t kConfirmWithin_ns = 600'000'000'000;

struct AlarmRules {
    AlarmNature nature;
    bool at_once = false;       // severity
    std::int64_t again_ns = 0;  // between two messages of one alarm
    std::int64_t remind_ns = 0; // a message again, while nobody acknowledged it
    std::int64_t over_ns = 0;   // gone, or not happened again, for so long
};

AlarmRules alarm_rules(AlarmCause cause, const AlarmSettings& settings);

bool is_off(AlarmCause cause, const AlarmSettings& settings);

} // namespace quietpass
