// A report as PDF: of a shift one page that is read in a minute, of more shifts as many as their table takes.
//
// Printable in black and white; nothing is told by colour. The same figures, words and fonts give the same
// bytes. Errors: Failure (exit 1). One thread.
#pragma once

#include <string>

#include "daemon/records/local_time.h"
#include "daemon/reports/pdf/paper.h"
#include "daemon/reports/report_figures.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

std::string report_pdf(const ReportFigures& figures, const LocalTime& time, Paper paper,
                       const ReportWords& words = english_report_words());

} // namespace quietpass
