#include "daemon/alarms/alarm.h"

#include <string_view>
#include <utility>

namespace quietpass {

namespace {

bool passed(std::int64_t since_ns, std::int64_t span_ns, std::int64_t now_ns) {
    return now_ns - since_ns >= span_ns || now_ns < since_ns;
}

} // namespace

void Alarm::change(const char* event, const std::string& by, bool written) {
    pending_.event = event;
    pending_.by = by;
    pending_.written = written;
}

void Alarm::happened(const AlarmDetail& detail, std::int64_t now_ns, std::int64_t& next_id) {
    detail_ = detail;
    seen_ns_ = now_ns;
    gone_ns_.reset();
    if (open()) {
        ++count_;
        if (rules_.nature.anew) state_ = State::kRaised;
        change("again");
        return;
    }
    id_ = next_id++;
    state_ = State::kRaised;
    count_ = 1;
    raised_ns_ = now_ns;
    by_.clear();
    told_ = State::kNone;
    told_count_ = 0;
    told_passage_.reset();
    change("raised");
}

void Alarm::is_there(const AlarmDetail& detail, std::int64_t now_ns, std::int64_t& next_id) {
    const bool confirms = unconfirmed_ && open();
    const bool begins = !there_ && !confirms;
    unconfirmed_ = false;
    there_ = true;
    gone_ns_.reset();
    // A person may clear what is still there; it comes back when it goes on for as long as a reminder takes.
    const bool goes_on = !open() && !begins && passed(cleared_ns_, rules_.remind_ns, now_ns);
    if (begins || goes_on) happened(detail, now_ns, next_id);
}

void Alarm::is_gone(std::int64_t now_ns) {
    if (there_ || unconfirmed_ || rules_.nature.end == AlarmEnd::kSaid) gone_ns_ = now_ns;
    there_ = false;
    unconfirmed_ = false;
}

bool Alarm::acknowledge(const std::string& by, bool written) {
    if (state_ != State::kRaised) return false;
    state_ = State::kAcknowledged;
    by_ = by;
    change("acknowledged", by, written);
    return true;
}

bool Alarm::clear(const std::string& by, bool written, std::int64_t now_ns) {
    if (!open()) return false;
    state_ = State::kCleared;
    cleared_ns_ = now_ns;
    change("cleared", by, written);
    return true;
}

bool Alarm::is_over(std::int64_t now_ns) const {
    if (!open()) return false;
    switch (rules_.nature.end) {
        case AlarmEnd::kQuiet:
            return passed(seen_ns_, rules_.over_ns, now_ns);
        case AlarmEnd::kGone:
            return gone_ns_ && passed(*gone_ns_, unconfirmed_ ? kConfirmWithin_ns : rules_.over_ns, now_ns);
        case AlarmEnd::kSaid:
            return gone_ns_.has_value();
    }
    return false;
}

bool Alarm::reminder_due(std::int64_t now_ns) const {
    const bool goes_on = rules_.nature.end != AlarmEnd::kGone || there_;
    return goes_on && passed(told_ns_, rules_.remind_ns, now_ns);
}

bool Alarm::due(std::int64_t now_ns, bool quiet) const {
    switch (state_) {
        case State::kNone:
            return false;
        case State::kRaised: {
            if (quiet && !rules_.at_once) return false;
            if (told_ == State::kNone) return true;
            const bool other_animal = rules_.nature.by_animal && detail_.passage_id != told_passage_;
            if (count_ > told_count_ && (other_animal || passed(told_ns_, rules_.again_ns, now_ns)))
                return true;
            return reminder_due(now_ns);
        }
        case State::kAcknowledged:
            return told_ == State::kRaised;
        case State::kCleared:
            return told_ == State::kRaised || told_ == State::kAcknowledged;
    }
    return false;
}

void Alarm::mark_told(std::int64_t now_ns) {
    told_ = state_;
    told_count_ = count_;
    if (state_ != State::kRaised) return;
    told_ns_ = now_ns;
    told_passage_ = detail_.passage_id;
}

Alarm::News Alarm::settle(std::int64_t now_ns, bool quiet, std::int64_t& next_id) {
    if (is_over(now_ns)) clear("", false, now_ns);
    if (there_ && !unconfirmed_ && !open()) is_there(detail_, now_ns, next_id);
    News news = std::exchange(pending_, {});
    if (!due(now_ns, quiet)) return news;
    news.message = state_ == State::kAcknowledged ? "acknowledged"
                   : state_ == State::kCleared    ? "cleared"
                   : told_ == State::kNone        ? "raised"
                                                  : "again";
    news.reminder = state_ == State::kRaised && told_ != State::kNone && count_ == told_count_;
    if (*news.event == '\0') {
        news.event = news.message;
        news.change = false;
        if (state_ == State::kAcknowledged) news.by = by_;
    }
    news.written = false;
    mark_told(now_ns);
    return news;
}

void Alarm::replay(const AlarmEventRow& row) {
    const std::string_view event = row.event;
    if (event == "raised") {
        if (row.alarm_id != id_) {
            told_ = State::kNone;
            told_count_ = 0;
            told_passage_.reset();
            by_.clear();
        }
        id_ = row.alarm_id;
        state_ = State::kRaised;
        raised_ns_ = seen_ns_ = row.utc_ns;
        count_ = row.count;
        there_ = false;
    } else if (row.alarm_id != id_) {
        return; // of an alarm that is over
    } else if (event == "again") {
        if (row.count > count_) {
            seen_ns_ = row.utc_ns;
            if (rules_.nature.anew) state_ = State::kRaised;
        }
        count_ = row.count;
    } else if (event == "acknowledged" && open()) {
        state_ = State::kAcknowledged;
        by_ = row.by;
    } else if (event == "cleared") {
        state_ = State::kCleared;
        cleared_ns_ = row.utc_ns;
        // What a person cleared may still be there, and must not come back at once for that.
        there_ = !row.by.empty() && rules_.nature.end == AlarmEnd::kGone;
    }
    if (event == "raised" || event == "again") {
        detail_ = {.what = row.what, .passage_id = row.passage_id, .call_id = row.call_id, .facts = {}};
    }
    if (row.told) mark_told(row.utc_ns);
}

void Alarm::restarted(std::int64_t now_ns) {
    if (rules_.nature.end != AlarmEnd::kGone) return;
    unconfirmed_ = open() || there_;
    if (open()) gone_ns_ = now_ns;
}

} // namespace quietpass
