// What a report is gathered from, read out of the store in one go. Errors: Failure. One thread.
#pragma once

#include <map>
#include <vector>

#include "daemon/records/store.h"
#include "daemon/reports/report_figures.h"

namespace quietpass {

struct ReportRows {
    std::vector<StoredShift>
        shifts; // the report's own, oldest first; of a span, without nights nobody worked in
    std::vector<StoredShift> recent; // closed ones up to the last of these, for the chart; own ones too
    std::vector<SpanRows> passages;  // of the closed own shifts, each by itself, in the same order
    std::vector<AlarmEventRow> alarm_events;        // all of each alarm that anything befell in the span
    std::vector<JournalEntry> journal;              // in force, from the chart's first shift on
    std::vector<HandAuditRow> audited;              // of audits in force
    std::map<std::int64_t, std::string> amendments; // the last of a shift, as stored
    std::map<std::int64_t, SignedHead> signatures;  // by shift
};

// At least so many shifts in the chart, where the store has them; common practice.
inline constexpr std::size_t kChartShifts = 30;

ReportRows read_report_rows(const Store& store, const ReportSpan& span);

// The last one that was planned or had an animal. 0: none.
std::int64_t latest_closed_shift(const Store& store);

} // namespace quietpass
