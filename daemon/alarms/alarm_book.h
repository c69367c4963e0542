// All alarms of a station: one for each cause and source, so that what happens a hundred times is one alarm
// that counts. Detectors say what they see, persons acknowledge and clear; rows for the store and messages
// for delivery come out, in order, within the calls.
//
// now_ns: UTC nanoseconds. Pure: no clock, no threads, no I/O. Not thread-safe.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <utility>

#include "daemon/alarms/alarm.h"
#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/quiet_times.h"

namespace quietpass {

class AlarmBook {
  public:
    using OnRow = std::function<void(const AlarmEventRow&)>;
    using OnMessage = std::function<void(const AlarmMessage&)>;

    AlarmBook(std::string station, const AlarmSettings& settings, QuietTimes quiet_times, OnRow on_row,
              OnMessage on_message);

    // What an earlier run left, in the order of the store. Before anything else.
    void restore(std::span<const AlarmEventRow> rows, std::int64_t now_ns);

    // Of causes of a moment.
    void happened(AlarmCause cause, const std::string& source, const AlarmDetail& detail,
                  std::int64_t now_ns);
    // Of causes that last: how it is now. Telling the same again is no news.
    void is_there(AlarmCause cause, const std::string& source, const AlarmDetail& detail,
                  std::int64_t now_ns);
    // … and of those that are over when it is said.
    void is_gone(AlarmCause cause, const std::string& source, std::int64_t now_ns);

    // What a person did, as another process wrote it. What doesn't fit the alarm's state is passed over.
    void take(const AlarmEventRow& of_a_person, std::int64_t now_ns);

    // Time goes on: what is over is cleared, what waits is told. About once a second or more often.
    void advance(std::int64_t now_ns);

    bool is_open(AlarmCause cause, const std::string& source) const;

  private:
    using Key = std::pair<AlarmCause, std::string>;

    Alarm& alarm_of(const Key& key);
    std::string id_of(const Alarm& alarm, const Alarm::News& news, std::int64_t now_ns) const;
    void settle(const Key& key, Alarm& alarm, std::int64_t now_ns);
    void tell(const Key& key, const Alarm& alarm, const Alarm::News& news, const AlarmEventRow& row);

    std::string station_;
    AlarmSettings settings_;
    QuietTimes quiet_times_;
    OnRow on_row_;
    OnMessage on_message_;
    std::map<Key, Alarm> alarms_;
    std::int64_t next_id_ = 1;
};

} // namespace quietpass
