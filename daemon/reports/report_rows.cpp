#include "daemon/reports/report_rows.h"

#include <algorithm>
#include <set>

namespace quietpass {

namespace {

bool is_reported(const StoredShift& shift, const ReportSpan& span) {
    return span.kind == SpanKind::kShift ? shift.shift_id == span.shift_id
                                         : span.holds_start(shift.start_utc_ns);
}

void keep_alarms_of(ReportRows& rows) {
    if (rows.shifts.empty()) return rows.alarm_events.clear();
    const auto from = rows.shifts.front().start_utc_ns;
    const auto to = rows.shifts.back().end_utc_ns;
    std::set<std::int64_t> wanted;
    for (const AlarmEventRow& event : rows.alarm_events) {
        if (from && event.utc_ns >= *from && (!to || event.utc_ns < *to)) wanted.insert(event.alarm_id);
    }
    std::erase_if(rows.alarm_events,
                  [&](const AlarmEventRow& event) { return wanted.count(event.alarm_id) == 0; });
}

} // namespace

ReportRows read_report_rows(const Store& store, const ReportSpan& span) {
    ReportRows rows;
    for (const StoredShift& shift : store.shifts()) {
        if (is_reported(shift, span)) rows.shifts.push_back(shift);
        if (shift.end_s) rows.recent.push_back(shift);
    }
    if (rows.shifts.empty()) return rows;
    while (!rows.recent.empty() && rows.recent.back().shift_id > rows.shifts.back().shift_id) {
        rows.recent.pop_back();
    }
    const std::size_t most = std::max(kChartShifts, rows.shifts.size());
    if (rows.recent.size() > most) {
        rows.recent.erase(rows.recent.begin(), rows.recent.end() - static_cast<std::ptrdiff_t>(most));
    }
    for (const StoredShift& shift : rows.shifts) {
        if (shift.end_s) rows.passages.push_back(store.read_span({{}, {}, shift.shift_id}));
    }
    rows.alarm_events = store.alarm_events();
    keep_alarms_of(rows);
    rows.journal = store.journal();
    rows.hand_audits = store.hand_audits();
    return rows;
}

} // namespace quietpass
