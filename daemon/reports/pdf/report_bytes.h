// A report as the bytes of a file, in the format that is asked for: what `quietpass report` writes and the
// page hands out. Errors: as gather_report.h and report_pdf.h. One thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "daemon/records/store.h"
#include "daemon/reports/pdf/paper.h"
#include "daemon/reports/report_span.h"
#include "daemon/reports/report_words.h"

namespace quietpass {

enum class ReportFormat { kPdf, kCsv, kJson };

std::string_view name_of(ReportFormat format); // "pdf", "csv", "json"
std::optional<ReportFormat> report_format_named(std::string_view name);

// paper, language: of a PDF; figures for machines have names, not words.
std::string report_bytes(const Store& store, const ReportSpan& span, ReportFormat format, Paper paper,
                         ReportLanguage language = ReportLanguage::kEnglish);

} // namespace quietpass
