#include "daemon/reports/pdf/shift_table.h"

#include <fmt/format.h>

#include "daemon/reports/figure_text.h"

namespace quietpass {

namespace {

std::string short_verdict(const PeriodFigures& figures, const ReportWords& words) {
    if (figures.verdict == Verdict::kNotScored) return "–";
    const std::string& verdict =
        figures.verdict == Verdict::kOverLimit ? words.short_over : words.short_within;
    if (!figures.interval_contains_limit.value_or(false)) return verdict;
    return fmt::format(fmt::runtime(words.short_unsure), verdict);
}

} // namespace

TableBlock shift_table(const ReportWords& words) {
    const auto& titles = words.shift_columns;
    return TableBlock({{titles[0], 0.135},
                       {titles[1], 0.105},
                       {titles[2], 0.065, Align::kRight},
                       {titles[3], 0.055, Align::kRight},
                       {titles[4], 0.19, Align::kRight},
                       {titles[5], 0.055, Align::kRight},
                       {titles[6], 0.125},
                       {titles[7], 0.075, Align::kRight},
                       {titles[8], 0.065, Align::kRight},
                       {titles[9], 0.06, Align::kRight},
                       {titles[10], 0.06, Align::kRight}},
                      7.2);
}

TableRow shift_row(const ReportShift& shift, const PageContext& page) {
    const ReportWords& words = page.words;
    const PeriodFigures& figures = shift.figures;
    std::vector<std::string> cells = {
        fmt::format("{} {}", shift.shift_id, shift.name),
        shift.start_utc_ns ? day_minute_text(page.time, *shift.start_utc_ns) : words.no_date};
    if (!shift.closed) {
        cells.insert(cells.end(), {"–", "–", words.not_closed});
        return {cells, false};
    }
    cells.insert(
        cells.end(),
        {std::to_string(figures.vocal.n), std::to_string(figures.vocal.k),
         share_figure(figures.vocal, words.range),
         figures.limit_percent ? limit_figure(*figures.limit_percent) : "–", short_verdict(figures, words),
         figures.passages_covered_percent ? percent_figure(*figures.passages_covered_percent) : "–",
         seconds_or_dash(figures.times.front().median), std::to_string(shift.alarms),
         shift.signature ? words.yes : words.no});
    return {cells, false};
}

} // namespace quietpass
