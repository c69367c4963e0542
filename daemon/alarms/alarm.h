// One alarm of one cause and source: raised, acknowledged, cleared, and raised anew; and when a message of it
// is due. The state is in what was written of it: replay() of its rows gives it back after a restart.
//
// An alarm is told of when it is raised, when a person acknowledged it, when it is cleared, when its cause
// was seen again (but no sooner than again_ns after the last time, unless it is of another animal), and every
// remind_ns while nobody has acknowledged it and it goes on. While it is quiet, raised and again wait.
//
// now_ns: UTC nanoseconds, which may step; a span that lies in the future counts as over. Pure; not
// thread-safe.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "daemon/alarms/alarm_rules.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

// What was seen.
struct AlarmDetail {
    std::string what; // one line
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::map<std::string, std::string> facts;
};

class Alarm {
  public:
    enum class State { kNone, kRaised, kAcknowledged, kCleared };

    // What a step did: nothing, a change to be written, a message to be told, or both in one.
    struct News {
        const char* event = "";   // raised, again, acknowledged, cleared; empty: nothing
        const char* message = ""; // the same for the message; empty: none
        bool change = true;       // false: told only, what was noted before
        bool written = false;     // by another process already
        bool reminder = false;    // nothing new but that nobody acknowledged
        std::string by;           // a person; empty: the machine
    };

    explicit Alarm(const AlarmRules& rules) : rules_(rules) {}

    // Each is a step; settle() is to follow, with the id of the next alarm to be raised.
    void happened(const AlarmDetail& detail, std::int64_t now_ns, std::int64_t& next_id);
    void is_there(const AlarmDetail& detail, std::int64_t now_ns, std::int64_t& next_id);
    void is_gone(std::int64_t now_ns);
    // False: it is not open, or acknowledged already.
    bool acknowledge(const std::string& by, bool written);
    bool clear(const std::string& by, bool written, std::int64_t now_ns);

    // What the time that passed has changed, and what is to be written and told.
    News settle(std::int64_t now_ns, bool quiet, std::int64_t& next_id);

    void replay(const AlarmEventRow& row);
    void restarted(std::int64_t now_ns);

    State state() const { return state_; }
    bool open() const { return state_ == State::kRaised || state_ == State::kAcknowledged; }
    std::int64_t id() const { return id_; }
    std::int64_t count() const { return count_; }
    std::int64_t raised_ns() const { return raised_ns_; }
    const std::string& acknowledged_by() const { return by_; }
    const AlarmDetail& detail() const { return detail_; }
    const AlarmRules& rules() const { return rules_; }

  private:
    void change(const char* event, const std::string& by = {}, bool written = false);
    bool is_over(std::int64_t now_ns) const;
    bool due(std::int64_t now_ns, bool quiet) const;
    bool reminder_due(std::int64_t now_ns) const;
    void mark_told(std::int64_t now_ns);

    AlarmRules rules_;
    State state_ = State::kNone;
    std::int64_t id_ = 0;
    std::int64_t count_ = 0; // how often its cause was seen while it is open
    std::int64_t raised_ns_ = 0;
    std::int64_t seen_ns_ = 0; // the latest
    std::int64_t cleared_ns_ = 0;
    std::string by_;
    AlarmDetail detail_;

    // Of causes that last.
    bool there_ = false;
    bool unconfirmed_ = false;            // open since before a restart, and not looked at yet
    std::optional<std::int64_t> gone_ns_; // since when

    State told_ = State::kNone;
    std::int64_t told_count_ = 0;
    std::int64_t told_ns_ = 0; // of the last raised or again
    std::optional<std::int64_t> told_passage_;

    News pending_;
};

} // namespace quietpass
