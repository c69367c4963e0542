// A report for machines: its figures as CSV (a row a shift, of a longer span the pool as the last row) and
// JSON (the same rows and every block of the page). daemon/records/FORMATS.md has the keys. Pure; any thread.
#pragma once

#include "daemon/reports/report_figures.h"
#include "daemon/tables/table.h"

namespace quietpass {

Statement report_statement(const ReportFigures& figures);

} // namespace quietpass
