// What a person is told of an alarm: one change of its state, in words and in facts. The alarm engine makes
// messages, delivery (daemon/alarms/delivery/) hands them over. No threads, no I/O.
#pragma once

#include <cstdint>
#include <map>
#include <string>

namespace quietpass {

struct AlarmMessage {
    std::string id; // unique and stable: the same id is the same message, so that receivers can drop repeats
    std::string alarm;     // id of the alarm that the message is of
    std::string cause;     // e.g. "call_after_stun"
    std::string event;     // raised | again | acknowledged | cleared | test
    std::string station;   // the station's name
    std::int64_t utc_ns{}; // when the state changed, nanoseconds since 1970-01-01 UTC
    std::string severity;  // "at_once" | "soon"
    std::int64_t count{};  // how often the cause was seen while the alarm stands
    std::string headline;  // one line
    std::string text;      // plain words, including what to do and the caution
    std::map<std::string, std::string> facts;
};

// Where messages are handed in. A message is durable when put() returns; put() of an id that was put before
// does nothing. Throws Failure where the message could not be kept.
class AlarmOutlet {
  public:
    AlarmOutlet() = default;
    AlarmOutlet(const AlarmOutlet&) = delete;
    AlarmOutlet& operator=(const AlarmOutlet&) = delete;
    virtual ~AlarmOutlet() = default;

    virtual void put(const AlarmMessage& message) = 0;
};

} // namespace quietpass
