#include "daemon/alarms/alarm_listing.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <optional>

#include "daemon/alarms/alarm_words.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

constexpr std::size_t kWidth = 80;
constexpr std::string_view kCsvHeader =
    "alarm,state,cause,source,severity,count,raised,last_change,acknowledged_by,passage_id,call_id,what\n";

std::string headline(const AlarmEventRow& row) {
    const auto cause = alarm_cause_from(row.cause);
    return cause ? headline_of(*cause, row.source) : row.cause;
}

// At most so many bytes, never a part of a character.
std::string cut(std::string text, std::size_t most) {
    if (text.size() <= most) return text;
    std::size_t end = most - 3;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
    return text.substr(0, end) + "...";
}

std::string zone_line(const LocalTime& time) {
    return "Times are those of " + time.timezone() + ".\n";
}

std::string wrapped(const std::string& text, std::size_t indent) {
    std::string out;
    std::size_t column = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::size_t length = end - at;
        if (column == 0) {
            out += std::string(indent, ' ');
            column = indent;
        } else if (column + 1 + length > kWidth) {
            out += '\n' + std::string(indent, ' ');
            column = indent;
        } else {
            out += ' ';
            ++column;
        }
        out += text.substr(at, length);
        column += length;
        at = end + 1;
    }
    return out + '\n';
}

nlohmann::ordered_json json_of(const std::optional<std::int64_t>& number) {
    return number ? nlohmann::ordered_json(*number) : nlohmann::ordered_json();
}

nlohmann::ordered_json json_of(const AlarmEventRow& event) {
    return {{"event", event.event},
            {"utc", utc_text(event.utc_ns)},
            {"by", event.by.empty() ? nlohmann::ordered_json() : nlohmann::ordered_json(event.by)},
            {"count", event.count},
            {"told", event.told},
            {"passage_id", json_of(event.passage_id)},
            {"call_id", json_of(event.call_id)},
            {"what", event.what}};
}

} // namespace

std::string alarm_table(std::span<const StoredAlarm> alarms, const LocalTime& time) {
    std::string text =
        fmt::format("{:>5} {:<16} {:<12} {:>5} {}\n", "alarm", "raised", "state", "count", "what");
    for (const StoredAlarm& alarm : alarms) {
        const std::string line =
            fmt::format("{:>5} {:<16} {:<12} {:>5} {}", alarm.id(), time.text(alarm.raised_ns).substr(0, 16),
                        alarm.state, alarm.last_seen.count, headline(alarm.last_seen));
        text += cut(line, kWidth) + '\n';
    }
    return text + zone_line(time);
}

std::string alarm_csv(std::span<const StoredAlarm> alarms) {
    std::string text(kCsvHeader);
    CsvLine line;
    const auto optional = [&line](const std::optional<std::int64_t>& number) {
        if (number) {
            line.integer(*number);
        } else {
            line.missing();
        }
    };
    for (const StoredAlarm& alarm : alarms) {
        const AlarmEventRow& seen = alarm.last_seen;
        line.integer(alarm.id()).text(alarm.state).text(seen.cause).text(seen.source).text(seen.severity);
        line.integer(seen.count).text(utc_text(alarm.raised_ns)).text(utc_text(alarm.changed_ns()));
        line.text(alarm.acknowledged_by);
        optional(seen.passage_id);
        optional(seen.call_id);
        text += line.text(seen.what).take();
    }
    return text;
}

std::string alarm_json(std::span<const StoredAlarm> alarms, bool with_events) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const StoredAlarm& alarm : alarms) {
        const AlarmEventRow& seen = alarm.last_seen;
        nlohmann::ordered_json one = {
            {"alarm", alarm.id()},
            {"state", alarm.state},
            {"cause", seen.cause},
            {"source", seen.source},
            {"severity", seen.severity},
            {"count", seen.count},
            {"raised", utc_text(alarm.raised_ns)},
            {"last_change", utc_text(alarm.changed_ns())},
            {"acknowledged_by", alarm.acknowledged_by.empty()
                                    ? nlohmann::ordered_json()
                                    : nlohmann::ordered_json(alarm.acknowledged_by)},
            {"passage_id", json_of(seen.passage_id)},
            {"call_id", json_of(seen.call_id)},
            {"what", seen.what}};
        if (with_events) {
            one["events"] = nlohmann::ordered_json::array();
            for (const AlarmEventRow& event : alarm.events) one["events"].push_back(json_of(event));
        }
        list.push_back(std::move(one));
    }
    return list.dump(2) + '\n';
}

std::string alarm_page(const StoredAlarm& alarm, const LocalTime& time) {
    const AlarmEventRow& seen = alarm.last_seen;
    std::string text = wrapped(fmt::format("Alarm {}: {}", alarm.id(), headline(seen)), 0);
    std::string state =
        fmt::format("{}, {}, seen {}", alarm.state, seen.severity == "at_once" ? "at once" : "soon",
                    seen.count == 1 ? "once" : std::to_string(seen.count) + " times");
    if (!alarm.acknowledged_by.empty()) state += ", acknowledged by " + alarm.acknowledged_by;
    text += wrapped(state, 2);
    text += wrapped(seen.what, 2);
    if (const auto cause = alarm_cause_from(seen.cause)) text += wrapped(advice_of(*cause), 2);
    for (const AlarmEventRow& event : alarm.events) {
        const std::string by = event.by.empty() ? "" : " by " + event.by;
        text += cut(fmt::format("  {}  {:<12} {:>5}  {}{}", time.text(event.utc_ns), event.event, event.count,
                                event.told ? "told" : "noted", by),
                    kWidth) +
                '\n';
    }
    return text + "  " + zone_line(time);
}

} // namespace quietpass
