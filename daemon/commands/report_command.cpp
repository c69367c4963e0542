#include "daemon/commands/report_command.h"

#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <system_error>

#include "daemon/commands/records_options.h"
#include "daemon/records/files.h"
#include "daemon/reports/pdf/report_bytes.h"
#include "daemon/reports/report_rows.h"

namespace quietpass {

namespace {

struct ReportOptions {
    RecordsOptions records;
    std::string week;
    std::string month;
    std::string format;
    std::string paper = "a4";
    std::string language = "en";
    std::string file;
};

// The latest closed shift.
ReportSpan latest_shift(const OpenRecords& records, const Store& store) {
    const std::int64_t shift_id = latest_closed_shift(store);
    if (shift_id > 0) return {SpanKind::kShift, "", shift_id, {}, {}};
    records.fail("no shift in " + store.file().string() + " is closed yet; its figures come with its end");
}

ReportSpan span_of(const OpenRecords& records, const Store& store, const ReportOptions& options) {
    if (!options.week.empty()) return week_span(options.week, records.time());
    if (!options.month.empty()) return month_span(options.month, records.time());
    const RecordSpan span = records.span(options.records);
    if (span.shift_id) return {SpanKind::kShift, "", *span.shift_id, {}, {}};
    if (span.from_utc_ns || span.to_utc_ns) {
        return {SpanKind::kBetween, "", 0, span.from_utc_ns, span.to_utc_ns};
    }
    return latest_shift(records, store);
}

// A report must not replace the records that it is of.
void check_file(const OpenRecords& records, const Store& store, const std::string& file) {
    std::error_code ignored;
    if (std::filesystem::is_directory(file, ignored)) {
        records.fail("--file " + file + ": is a folder; give the name of a file");
    }
    if (std::filesystem::equivalent(file, store.file(), ignored)) {
        records.fail("--file " + file + ": is the record store; give another name");
    }
}

void put(const std::string& bytes, const std::string& file) {
    if (file.empty()) {
        std::fwrite(bytes.data(), 1, bytes.size(), stdout);
        std::fflush(stdout);
        return;
    }
    const std::filesystem::path path(file);
    RealFiles files;
    const std::filesystem::path folder = path.has_parent_path() ? path.parent_path() : ".";
    const NamedBytes named{path.filename().string(), bytes};
    write_whole(files, folder, std::span(&named, 1));
}

void report(const ReportOptions& options) {
    OpenRecords records("report", options.records.records);
    if (options.format == "pdf" && options.file.empty() && isatty(STDOUT_FILENO) != 0) {
        records.fail("a PDF is nothing for a terminal; give --file REPORT.pdf");
    }
    if (!options.file.empty()) check_file(records, records.store(), options.file);
    const ReportSpan span = span_of(records, records.store(), options);
    const Paper paper = options.paper == "letter" ? Paper::kLetter : Paper::kA4;
    const auto format = report_format_named(options.format).value_or(ReportFormat::kPdf);
    const auto language = report_language_named(options.language).value_or(ReportLanguage::kEnglish);
    put(report_bytes(records.store(), span, format, paper, language), options.file);
}

} // namespace

void add_report(CLI::App& app) {
    const auto options = std::make_shared<ReportOptions>();
    CLI::App* command = app.add_subcommand("report", "A shift, week or month as PDF, CSV or JSON");
    command->footer(
        "Without --shift, --week, --month, --from or --to: the latest closed shift.\n"
        "A shift belongs to the time that it starts in, in the station's time zone.");
    add_records(*command, options->records);
    CLI::Option* shift = command->add_option("--shift", options->records.shift, "The shift of this id");
    shift->check(CLI::PositiveNumber);
    CLI::Option* week = command->add_option("--week", options->week, "As in 2026-W10 (ISO 8601)");
    CLI::Option* month = command->add_option("--month", options->month, "As in 2026-03");
    CLI::Option* from = command->add_option("--from", options->records.from,
                                            "Shifts that start from here on, as \"2026-03-02\n"
                                            "06:00\" (the station's time) or 2026-03-02T13:00:00Z");
    CLI::Option* to = command->add_option("--to", options->records.to, "Shifts that start before here");
    for (CLI::Option* option : {week, month, from, to}) shift->excludes(option);
    for (CLI::Option* option : {month, from, to}) week->excludes(option);
    for (CLI::Option* option : {from, to}) month->excludes(option);
    command->add_option("--format", options->format, "pdf, csv or json")
        ->required()
        ->check(CLI::IsMember({"pdf", "csv", "json"}));
    command->add_option("--paper", options->paper, "Of a PDF: a4 or letter")
        ->check(CLI::IsMember({"a4", "letter"}))
        ->capture_default_str();
    command->add_option("--language", options->language, "Of a PDF: en or es")
        ->check(CLI::IsMember({"en", "es"}))
        ->capture_default_str();
    command->add_option("--file", options->file,
                        "Where to write; without it standard output.\n"
                        "What is there is replaced once all of it is written");
    command->callback([options] { report(*options); });
}

} // namespace quietpass
