#include "daemon/alarms/alarm_book.h"

#include <algorithm>
#include <string_view>

#include "daemon/alarms/alarm_words.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

// What the message says beside what was seen and what to do.
std::string course_of(const Alarm& alarm, const Alarm::News& news, std::int64_t now_ns) {
    const std::string_view message = news.message;
    const std::string open_for = span_text(now_ns - alarm.raised_ns());
    std::string words;
    if (message == "again" && news.reminder) {
        words = "Raised " + open_for + " ago, and nobody has acknowledged it.";
    } else if (message == "again") {
        words = "Seen " + std::to_string(alarm.count()) + " times in " + open_for + ".";
    } else if (message == "acknowledged") {
        words = "Acknowledged by " + alarm.acknowledged_by() + ".";
    } else if (message == "cleared") {
        words = news.by.empty() ? "Over" : "Cleared by " + news.by;
        words += ", " + open_for + " after it was raised.";
        if (alarm.acknowledged_by().empty() && news.by.empty()) words += " Nobody acknowledged it.";
    }
    return words;
}

} // namespace

AlarmBook::AlarmBook(std::string station, const AlarmSettings& settings, QuietTimes quiet_times, OnRow on_row,
                     OnMessage on_message)
    : station_(std::move(station)),
      settings_(settings),
      quiet_times_(std::move(quiet_times)),
      on_row_(std::move(on_row)),
      on_message_(std::move(on_message)) {}

Alarm& AlarmBook::alarm_of(const Key& key) {
    const auto found = alarms_.find(key);
    if (found != alarms_.end()) return found->second;
    return alarms_.emplace(key, Alarm(alarm_rules(key.first, settings_))).first->second;
}

void AlarmBook::restore(std::span<const AlarmEventRow> rows, std::int64_t now_ns) {
    for (const AlarmEventRow& row : rows) {
        next_id_ = std::max(next_id_, row.alarm_id + 1);
        // A cause that a newer program knew is nobody's here.
        if (const auto cause = alarm_cause_from(row.cause)) alarm_of({*cause, row.source}).replay(row);
    }
    for (auto& [key, alarm] : alarms_) alarm.restarted(now_ns);
}

void AlarmBook::happened(AlarmCause cause, const std::string& source, const AlarmDetail& detail,
                         std::int64_t now_ns) {
    if (is_off(cause, settings_)) return;
    const Key key{cause, source};
    Alarm& alarm = alarm_of(key);
    settle(key, alarm, now_ns);
    alarm.happened(detail, now_ns, next_id_);
    settle(key, alarm, now_ns);
}

void AlarmBook::is_there(AlarmCause cause, const std::string& source, const AlarmDetail& detail,
                         std::int64_t now_ns) {
    if (is_off(cause, settings_)) return;
    const Key key{cause, source};
    Alarm& alarm = alarm_of(key);
    settle(key, alarm, now_ns);
    alarm.is_there(detail, now_ns, next_id_);
    settle(key, alarm, now_ns);
}

void AlarmBook::is_gone(AlarmCause cause, const std::string& source, std::int64_t now_ns) {
    const Key key{cause, source};
    const auto found = alarms_.find(key);
    if (found == alarms_.end()) return;
    found->second.is_gone(now_ns);
    settle(key, found->second, now_ns);
}

void AlarmBook::take(const AlarmEventRow& of_a_person, std::int64_t now_ns) {
    for (auto& [key, alarm] : alarms_) {
        if (alarm.id() != of_a_person.alarm_id) continue;
        settle(key, alarm, now_ns);
        const bool done = of_a_person.event == "acknowledged" ? alarm.acknowledge(of_a_person.by, true)
                          : of_a_person.event == "cleared"    ? alarm.clear(of_a_person.by, true, now_ns)
                                                              : false;
        if (done) settle(key, alarm, now_ns);
        return;
    }
}

void AlarmBook::advance(std::int64_t now_ns) {
    for (auto& [key, alarm] : alarms_) settle(key, alarm, now_ns);
}

bool AlarmBook::is_open(AlarmCause cause, const std::string& source) const {
    const auto found = alarms_.find({cause, source});
    return found != alarms_.end() && found->second.open();
}

void AlarmBook::settle(const Key& key, Alarm& alarm, std::int64_t now_ns) {
    const Alarm::News news = alarm.settle(now_ns, quiet_times_.at(now_ns), next_id_);
    const bool told = *news.message != '\0';
    if (*news.event == '\0' || (news.written && !told)) return;
    AlarmEventRow row;
    row.alarm_id = alarm.id();
    row.cause = name_of(key.first);
    row.source = key.second;
    row.event = news.event;
    row.utc_ns = now_ns;
    row.by = news.by;
    row.severity = alarm.rules().at_once ? "at_once" : "soon";
    row.count = alarm.count();
    row.told = told;
    row.passage_id = alarm.detail().passage_id;
    row.call_id = alarm.detail().call_id;
    row.what = alarm.detail().what;
    row.id = id_of(alarm, news, now_ns);
    // The message first: what was told and not written is told once more after a kill, never not at all.
    if (told) tell(key, alarm, news, row);
    on_row_(row);
}

// What is told twice, because the process was killed before it was written, has the same id both times, so
// that delivery drops it. A sighting has its time in it: it is never taken for another.
std::string AlarmBook::id_of(const Alarm& alarm, const Alarm::News& news, std::int64_t now_ns) const {
    const std::string_view event = news.event;
    std::string id = station_ + "/" + std::to_string(alarm.id()) + "/" + std::to_string(alarm.raised_ns()) +
                     "/" + news.event + "/" + std::to_string(alarm.count());
    if (event == "again") id += "/" + std::to_string(now_ns);
    if (event == "raised" && !news.change) id += "/told";
    return id;
}

void AlarmBook::tell(const Key& key, const Alarm& alarm, const Alarm::News& news, const AlarmEventRow& row) {
    AlarmMessage message;
    message.id = row.id;
    message.alarm = std::to_string(row.alarm_id);
    message.cause = row.cause;
    message.event = news.message;
    message.station = station_;
    message.utc_ns = row.utc_ns;
    message.severity = row.severity;
    message.count = row.count;
    message.headline = station_ + ": " + (message.event == "raised" ? "" : message.event + ": ") +
                       headline_of(key.first, key.second);
    for (const std::string& part : {row.what, course_of(alarm, news, row.utc_ns),
                                    message.event == "cleared" ? std::string() : advice_of(key.first)}) {
        if (part.empty()) continue;
        if (!message.text.empty()) message.text += ' ';
        message.text += part;
    }
    message.facts = alarm.detail().facts;
    message.facts["raised"] = utc_text(alarm.raised_ns());
    if (!key.second.empty()) message.facts["source"] = key.second;
    if (row.passage_id) message.facts["passage_id"] = std::to_string(*row.passage_id);
    if (row.call_id) message.facts["call_id"] = std::to_string(*row.call_id);
    if (!alarm.acknowledged_by().empty()) message.facts["acknowledged_by"] = alarm.acknowledged_by();
    on_message_(message);
}

} // namespace quietpass
