// The alarms that stood in a span, and what people did about them. Pure; any thread.
#pragma once

#include <span>
#include <vector>

#include "daemon/records/store_rows.h"
#include "daemon/reports/report_figures.h"

namespace quietpass {

// From all rows of these alarms in the order of writing; by moment of raising.
std::vector<ReportAlarm> report_alarms(std::span<const AlarmEventRow> rows);

// Whether it was raised before `to` and not over by `from`.
bool stood_in(const ReportAlarm& alarm, std::int64_t from_utc_ns, std::int64_t to_utc_ns);

} // namespace quietpass
