// The shifts of a week or month, a row each. One thread.
#pragma once

#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

TableBlock shift_table(const ReportWords& words);
TableRow shift_row(const ReportShift& shift, const PageContext& page);

} // namespace quietpass
