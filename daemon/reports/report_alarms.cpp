#include "daemon/reports/report_alarms.h"

#include <algorithm>

#include "daemon/alarms/stored_alarm.h"

namespace quietpass {

namespace {

ReportAlarm reported(const StoredAlarm& stored) {
    ReportAlarm alarm;
    alarm.alarm_id = stored.id();
    alarm.cause = stored.last_seen.cause;
    alarm.source = stored.last_seen.source;
    alarm.severity = stored.last_seen.severity;
    alarm.what = stored.last_seen.what;
    alarm.count = stored.last_seen.count;
    alarm.raised_utc_ns = stored.raised_ns;
    alarm.state = stored.state;
    for (const AlarmEventRow& event : stored.events) {
        if (event.event == "acknowledged") {
            alarm.acknowledged_by = event.by;
            alarm.acknowledged_utc_ns = event.utc_ns;
        } else if (event.event == "cleared") {
            alarm.cleared_by = event.by;
            alarm.cleared_utc_ns = event.utc_ns;
        }
    }
    return alarm;
}

} // namespace

std::vector<ReportAlarm> report_alarms(std::span<const AlarmEventRow> rows) {
    std::vector<ReportAlarm> alarms;
    for (const StoredAlarm& stored : alarms_in(rows)) alarms.push_back(reported(stored));
    std::stable_sort(alarms.begin(), alarms.end(), [](const ReportAlarm& a, const ReportAlarm& b) {
        return a.raised_utc_ns < b.raised_utc_ns;
    });
    return alarms;
}

bool stood_in(const ReportAlarm& alarm, std::int64_t from_utc_ns, std::int64_t to_utc_ns) {
    return alarm.raised_utc_ns < to_utc_ns && (!alarm.cleared_utc_ns || *alarm.cleared_utc_ns >= from_utc_ns);
}

} // namespace quietpass
