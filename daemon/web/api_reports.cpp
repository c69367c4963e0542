// The route of reports: the same bytes as `quietpass report` writes, as a download.
#include "daemon/reports/pdf/report_bytes.h"
#include "daemon/reports/report_rows.h"
#include "daemon/web/api_route.h"
#include "daemon/web/download.h"

namespace quietpass {

namespace {

// All passages of a span are in memory at once, some 100 MB of a busy line's quarter.
constexpr std::int64_t kLongestSpan_ns = 93LL * 86'400 * 1'000'000'000;

ReportSpan latest_shift(const Store& store) {
    const std::int64_t shift_id = latest_closed_shift(store);
    if (shift_id > 0) return {SpanKind::kShift, "", shift_id, {}, {}};
    throw Refusal{422, "no shift is closed yet", "shift", "ask again when the first one ended"};
}

// Of the latest shift's station.
LocalTime local_time(const Store& store) {
    std::string zone = "UTC";
    store.read([&](SQLite::Database& database) {
        SQLite::Statement query(database, "SELECT timezone FROM shifts ORDER BY shift_id DESC LIMIT 1");
        if (query.executeStep()) zone = query.getColumn(0).getString();
    });
    return LocalTime(zone);
}

std::string file_name(const ReportSpan& span, ReportFormat format) {
    std::string name = "quietpass-report-";
    if (span.kind == SpanKind::kShift)
        name += "shift-" + std::to_string(span.shift_id);
    else
        name += span.name.empty() ? "between" : span.name;
    return name + "." + std::string(name_of(format));
}

std::string type_of(ReportFormat format) {
    return format == ReportFormat::kPdf   ? "application/pdf"
           : format == ReportFormat::kCsv ? "text/csv; charset=utf-8"
                                          : "application/json";
}

} // namespace

WebAnswer Api::report(const Call& call) {
    const auto shift = call.number("shift", 1, INT64_MAX);
    const std::string week = call.any_word("week");
    const std::string month = call.any_word("month");
    const auto from = call.moment("from");
    const auto to = call.moment("to");
    if (int(shift.has_value()) + int(!week.empty()) + int(!month.empty()) + int(from || to) > 1)
        throw Refusal{400, "more than one span", "shift", "give shift, week, month, or from and to"};
    if ((from || to) && !(from && to && *from < *to && *to - *from <= kLongestSpan_ns)) {
        throw Refusal{400, "this is no span of a report", "from, to",
                      "give both, to after from, 93 days apart at most; for more `quietpass report`"};
    }
    const std::string format_word = call.word("format", {"pdf", "csv", "json"});
    const ReportFormat format = report_format_named(format_word).value_or(ReportFormat::kPdf);
    const Paper paper = call.word("paper", {"a4", "letter"}) == "letter" ? Paper::kLetter : Paper::kA4;
    const auto language = report_language_named(call.word("language", {"en", "es"}));

    const std::unique_lock alone(reporting_, std::try_to_lock);
    if (!alone.owns_lock()) {
        throw Refusal{503, "another report is being made", "report", "try again", {{"Retry-After", "2"}}};
    }
    const Store store(parts_.out / "records.db"); // of its own: nobody waits for a long report
    ReportSpan span{SpanKind::kBetween, "", 0, from, to};
    if (shift) span = {SpanKind::kShift, "", *shift, {}, {}};
    if (!week.empty()) span = week_span(week, local_time(store));
    if (!month.empty()) span = month_span(month, local_time(store));
    if (!shift && week.empty() && month.empty() && !from) span = latest_shift(store);
    WebAnswer answer;
    answer.type = type_of(format);
    answer.body = std::make_shared<const std::string>(
        report_bytes(store, span, format, paper, language.value_or(ReportLanguage::kEnglish)));
    const std::string name = file_name(span, format);
    answer.headers = {as_download(name)};
    record(call.who().name, "report", name, "from " + call.request.address);
    return answer;
}

} // namespace quietpass
