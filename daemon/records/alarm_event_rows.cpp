#include "daemon/records/alarm_event_rows.h"

#include <SQLiteCpp/Statement.h>

#include <string>

#include "daemon/records/row_columns.h"

namespace quietpass {

namespace {

constexpr const char* kAlarmColumns =
    "SELECT event_id, id, alarm_id, cause, source, event, utc_ns, coalesce(by, ''), severity, count, told, "
    "passage_id, call_id, what FROM alarm_events ";

std::vector<AlarmEventRow> alarm_events_in(SQLite::Statement& query) {
    std::vector<AlarmEventRow> rows;
    while (query.executeStep()) {
        Columns columns(query);
        AlarmEventRow& row = rows.emplace_back();
        row.event_id = columns.integer();
        row.id = columns.text();
        row.alarm_id = columns.integer();
        row.cause = columns.text();
        row.source = columns.text();
        row.event = columns.text();
        row.utc_ns = columns.integer();
        row.by = columns.text();
        row.severity = columns.text();
        row.count = columns.integer();
        row.told = columns.yes_no();
        row.passage_id = columns.optional_integer();
        row.call_id = columns.optional_integer();
        row.what = columns.text();
    }
    return rows;
}

} // namespace

std::vector<AlarmEventRow> read_alarm_events(SQLite::Database& database, std::int64_t after_event_id) {
    SQLite::Statement query(database, std::string(kAlarmColumns) + "WHERE event_id > ? ORDER BY event_id");
    query.bind(1, after_event_id);
    return alarm_events_in(query);
}

std::vector<AlarmEventRow> read_open_alarms(SQLite::Database& database) {
    SQLite::Statement query(
        database,
        std::string(kAlarmColumns) +
            "WHERE alarm_id IN (SELECT alarm_id FROM alarm_events GROUP BY alarm_id HAVING "
            "max(CASE WHEN event = 'cleared' THEN event_id ELSE 0 END) < "
            "max(CASE WHEN event IN ('raised', 'again') THEN event_id ELSE 0 END)) ORDER BY event_id");
    return alarm_events_in(query);
}

std::vector<AlarmEventRow> read_newest_alarms(SQLite::Database& database, int most,
                                              const std::optional<std::int64_t>& before_alarm) {
    SQLite::Statement query(database,
                            std::string(kAlarmColumns) +
                                "WHERE alarm_id IN (SELECT DISTINCT alarm_id FROM alarm_events WHERE "
                                "alarm_id < ? ORDER BY alarm_id DESC LIMIT ?) ORDER BY event_id");
    query.bind(1, before_alarm.value_or(INT64_MAX));
    query.bind(2, most);
    return alarm_events_in(query);
}

std::vector<AlarmEventRow> read_alarms_between(SQLite::Database& database, std::int64_t from_utc_ns,
                                               std::int64_t to_utc_ns) {
    SQLite::Statement query(database,
                            std::string(kAlarmColumns) +
                                "WHERE alarm_id IN (SELECT alarm_id FROM alarm_events WHERE utc_ns >= ? AND "
                                "utc_ns < ?) ORDER BY event_id");
    query.bind(1, from_utc_ns);
    query.bind(2, to_utc_ns);
    return alarm_events_in(query);
}

} // namespace quietpass
