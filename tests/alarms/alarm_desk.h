// An AlarmBook with what a daemon has around it: rows that outlive a restart, messages, a person who
// acknowledges and clears, and a time that the test moves.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_book.h"

namespace quietpass::testing {

struct AlarmDesk {
    explicit AlarmDesk(AlarmSettings chosen = {}, std::string zone = "UTC")
        : settings(std::move(chosen)), timezone(std::move(zone)) {
        restart();
    }

    void restart() {
        book = std::make_unique<AlarmBook>(
            "box-2", settings, QuietTimes(timezone, settings.quiet_times),
            [this](const AlarmEventRow& row) {
                rows.push_back(row);
                rows.back().event_id = static_cast<std::int64_t>(rows.size());
            },
            [this](const AlarmMessage& message) { messages.push_back(message); });
        book->restore(rows, now_ns);
    }

    void after(double seconds) {
        now_ns += static_cast<std::int64_t>(seconds * 1e9);
        book->advance(now_ns);
    }

    void happened(AlarmCause cause, std::int64_t passage_id = 1) {
        AlarmDetail detail;
        detail.what = "It was seen.";
        detail.passage_id = passage_id;
        book->happened(cause, "", detail, now_ns);
    }
    void there(AlarmCause cause, const std::string& source = "") {
        AlarmDetail detail;
        detail.what = "It is there.";
        book->is_there(cause, source, detail, now_ns);
    }
    void gone(AlarmCause cause, const std::string& source = "") { book->is_gone(cause, source, now_ns); }

    // As another process writes it into the store.
    void person(const std::string& event, std::int64_t alarm_id) {
        AlarmEventRow row;
        row.id = "person/" + std::to_string(rows.size());
        row.event_id = static_cast<std::int64_t>(rows.size()) + 1;
        row.alarm_id = alarm_id;
        for (const AlarmEventRow& of : rows) {
            if (of.alarm_id != alarm_id) continue;
            row.cause = of.cause;
            row.source = of.source;
            row.count = of.count;
        }
        row.event = event;
        row.utc_ns = now_ns;
        row.by = "M. Berg";
        rows.push_back(row);
        book->take(row, now_ns);
    }

    std::int64_t last_alarm() const { return rows.empty() ? 0 : rows.back().alarm_id; }

    // "raised 1", "again 3" …, in order.
    std::vector<std::string> told() const {
        std::vector<std::string> lines;
        for (const AlarmMessage& message : messages)
            lines.push_back(message.event + ' ' + std::to_string(message.count));
        return lines;
    }

    AlarmSettings settings;
    std::string timezone;
    std::int64_t now_ns = 1'772'946'000'000'000'000; // 2026-03-08T05:00:00Z
    std::vector<AlarmEventRow> rows;
    std::vector<AlarmMessage> messages;
    std::unique_ptr<AlarmBook> book;
};

} // namespace quietpass::testing
