#include "daemon/reports/pdf/report_bytes.h"

#include <array>

#include "daemon/reports/gather_report.h"
#include "daemon/reports/pdf/report_pdf.h"
#include "daemon/reports/report_statement.h"

namespace quietpass {

namespace {

constexpr std::array<std::string_view, 3> kFormatNames = {"pdf", "csv", "json"};

} // namespace

std::string_view name_of(ReportFormat format) {
    return kFormatNames[static_cast<std::size_t>(format)];
}

std::optional<ReportFormat> report_format_named(std::string_view name) {
    for (std::size_t i = 0; i < kFormatNames.size(); ++i) {
        if (kFormatNames[i] == name) return static_cast<ReportFormat>(i);
    }
    return std::nullopt;
}

std::string report_bytes(const Store& store, const ReportSpan& span, ReportFormat format, Paper paper,
                         ReportLanguage language) {
    const ReportFigures figures = gather_report(read_report_rows(store, span), span);
    if (format == ReportFormat::kCsv) return written(report_statement(figures), Output::kCsv);
    if (format == ReportFormat::kJson) return written(report_statement(figures), Output::kJson);
    return report_pdf(figures, LocalTime(figures.timezone), paper, report_words(language));
}

} // namespace quietpass
