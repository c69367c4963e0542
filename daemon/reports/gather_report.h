// Rows of the store to the figures of a report. Pure; any thread.
//
// Errors: Failure (exit 2) where the span holds no shift, shifts of several stations, or is of one shift that
// still goes on; (exit 1) for a record that can't be read.
#pragma once

#include "daemon/reports/report_rows.h"

namespace quietpass {

ReportFigures gather_report(const ReportRows& rows, const ReportSpan& span);

} // namespace quietpass
