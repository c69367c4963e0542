// The run chart of a report: the share of each recent shift against the limits of a p-chart around the mean
// of the shifts shown, with the changes marked by letters. Pure; any thread.
//
// Limits stand from kLimitsFrom shifts on (common practice); they take animals as independent, which those of
// one lot are not, so that more shifts lie outside than by chance alone.
#pragma once

#include <vector>

#include "daemon/journal/journal.h"
#include "daemon/reports/report_figures.h"

namespace quietpass {

inline constexpr std::size_t kLimitsFrom = 8;

// Shifts without a percentage have no point.
ReportChart report_chart(const std::vector<ReportShift>& recent, const std::vector<ReportShift>& reported);

// Changes from the chart's first shift to the report's last, and those within the report; lettered A, B, …
std::vector<ReportChange> report_changes(const Journal& journal, const ReportChart& chart,
                                         const ReportFigures& figures);

} // namespace quietpass
