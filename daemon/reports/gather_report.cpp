#include "daemon/reports/gather_report.h"

#include <algorithm>
#include <limits>

#include "daemon/failure.h"
#include "daemon/reports/passage_blocks.h"
#include "daemon/reports/pooled_figures.h"
#include "daemon/reports/recorded_shift.h"
#include "daemon/reports/report_alarms.h"
#include "daemon/reports/report_chart.h"

namespace quietpass {

namespace {

ReportShift shift_of(const StoredShift& stored, const ReportRows& rows) {
    ReportShift shift;
    shift.shift_id = stored.shift_id;
    shift.name = stored.name;
    shift.start_utc_ns = stored.start_utc_ns;
    shift.end_utc_ns = stored.end_utc_ns;
    shift.closed = !stored.record_json.empty();
    if (shift.closed) {
        RecordedShift recorded = recorded_shift(stored.shift_id, stored.record_json);
        shift.figures = std::move(recorded.figures);
        shift.ended_by = std::move(recorded.ended_by);
    }
    const auto amendment = rows.amendments.find(stored.shift_id);
    if (amendment != rows.amendments.end()) {
        shift.amendment = recorded_amendment(stored.shift_id, amendment->second);
    }
    const auto signature = rows.signatures.find(stored.shift_id);
    if (signature != rows.signatures.end()) shift.signature = signature->second;
    return shift;
}

std::vector<ReportShift> shifts_of(const std::vector<StoredShift>& stored, const ReportRows& rows) {
    std::vector<ReportShift> shifts;
    for (const StoredShift& one : stored) shifts.push_back(shift_of(one, rows));
    return shifts;
}

void check(const ReportRows& rows, const ReportSpan& span) {
    if (rows.shifts.empty()) {
        const std::string what = span.kind == SpanKind::kShift ? "no such shift in the store"
                                                               : "no shift of the store starts in this time";
        throw Failure(kExitUsage, "report: " + what + "; `quietpass passages` shows what is there");
    }
    for (const StoredShift& shift : rows.shifts) {
        if (shift.station == rows.shifts.front().station && shift.species == rows.shifts.front().species) {
            continue;
        }
        throw Failure(kExitUsage, "report: the shifts of this time are of several stations (" +
                                      rows.shifts.front().station + ", " + shift.station +
                                      "); give --shift, or a time that holds one station's");
    }
    if (span.kind == SpanKind::kShift && rows.shifts.front().record_json.empty()) {
        throw Failure(kExitUsage, "report: shift " + std::to_string(span.shift_id) +
                                      " is not closed yet; its figures come with its end");
    }
}

void set_period(ReportFigures& figures, const ReportRows& rows) {
    std::vector<PeriodFigures> closed;
    for (const ReportShift& shift : figures.shifts) {
        if (shift.closed) closed.push_back(shift.figures);
    }
    figures.all = figures.one_shift() ? closed.front() : pooled_figures(closed, rows.passages);
    figures.from_utc_ns = figures.shifts.front().start_utc_ns;
    for (const ReportShift& shift : figures.shifts) {
        if (shift.end_utc_ns) figures.to_utc_ns = shift.end_utc_ns;
        if (shift.signature) {
            figures.signature = shift.signature;
            figures.signed_shift_id = shift.shift_id;
        }
    }
}

void set_alarms(ReportFigures& figures, const ReportRows& rows) {
    figures.alarms = report_alarms(rows.alarm_events);
    for (ReportShift& shift : figures.shifts) {
        if (!shift.start_utc_ns) continue;
        const std::int64_t end = shift.end_utc_ns.value_or(std::numeric_limits<std::int64_t>::max());
        shift.alarms = std::count_if(
            figures.alarms.begin(), figures.alarms.end(),
            [&](const ReportAlarm& alarm) { return stood_in(alarm, *shift.start_utc_ns, end); });
    }
}

} // namespace

ReportFigures gather_report(const ReportRows& rows, const ReportSpan& span) {
    check(rows, span);
    ReportFigures figures;
    figures.station = rows.shifts.front().station;
    figures.species = rows.shifts.front().species;
    figures.timezone = rows.shifts.back().timezone;
    figures.span = span;
    figures.shifts = shifts_of(rows.shifts, rows);
    set_period(figures, rows);
    set_alarms(figures, rows);
    std::vector<ReportShift> recent;
    for (const StoredShift& stored : rows.recent) {
        recent.push_back(shift_of(stored, rows));
    }
    figures.chart = report_chart(recent, figures.shifts);
    const Journal journal(rows.journal);
    figures.changes = report_changes(journal, figures.chart, figures);
    add_passage_blocks(figures, rows, journal);
    return figures;
}

} // namespace quietpass
