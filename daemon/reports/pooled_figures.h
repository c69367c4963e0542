// Several shifts as one: counts are added up from the shifts' records, times of the cycle and covered
// passages from the passages themselves, because medians don't add up. Pure; any thread.
//
// Shares of time are weighted by the time they are shares of. Animals between the planned shifts count, the
// time there does not. Where the limit was altered between the shifts,
// the pool has none and no verdict.
#pragma once

#include <vector>

#include "daemon/records/span_rows.h"
#include "daemon/reports/period_figures.h"

namespace quietpass {

PeriodFigures pooled_figures(const std::vector<PeriodFigures>& shifts, const std::vector<SpanRows>& passages);

// The verdict on a share that has its counts and intervals, as a shift's record judges it.
void judge(PeriodFigures& figures);

} // namespace quietpass
