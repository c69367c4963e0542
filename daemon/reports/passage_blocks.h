// What a report takes from single passages: what goes with the calls, the interval that allows for lots, and
// the agreement with hand audits. Pure; any thread.
#pragma once

#include "daemon/journal/journal.h"
#include "daemon/reports/report_rows.h"

namespace quietpass {

// So many rows of what goes with the calls at most.
inline constexpr std::size_t kMostFactors = 5;

// Sets goes_with_calls, factors_looked_at, by_groups and audit of figures that have their shifts and pool.
void add_passage_blocks(ReportFigures& figures, const ReportRows& rows, const Journal& journal);

} // namespace quietpass
