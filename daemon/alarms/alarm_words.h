// Alarms in plain words: what stands in a message's first line and text. No cause is named as a fact; what
// concerns an animal ends with the caution.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/alarms/alarm_cause.h"

namespace quietpass {

// "call after the stun"; with its source where the cause has several: "contacts do not answer: 192.0.2.10".
std::string headline_of(AlarmCause cause, const std::string& source);

// What to do, with the caution.
std::string advice_of(AlarmCause cause);

// "45 s", "12 min", "3 h 20 min"
std::string span_text(std::int64_t span_ns);

} // namespace quietpass
