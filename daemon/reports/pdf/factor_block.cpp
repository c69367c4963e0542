#include <fmt/format.h>

#include <algorithm>

#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

std::string label_of(const FactorFigures& factor, const ReportWords& words) {
    const auto known = words.factors.find(factor.factor);
    if (known == words.factors.end()) return factor.factor + " " + factor.level;
    return fmt::format(fmt::runtime(known->second), level_text(factor.factor, factor.level, words));
}

} // namespace

void write_factors(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const ReportFigures& figures = page.figures;
    pen.heading(words.factors_heading);
    if (figures.factors_looked_at == 0) return pen.say(words.factors_nothing);
    if (figures.goes_with_calls.empty()) {
        return pen.say(fmt::format(fmt::runtime(words.factors_none), figures.factors_looked_at));
    }
    const auto& titles = words.factor_columns;
    const TableBlock table({{titles[0], 0.26},
                            {titles[1], 0.215, Align::kRight},
                            {titles[2], 0.215, Align::kRight},
                            {titles[3], 0.31, Align::kRight}},
                           7.2);
    pen.header(table);
    bool seconds = false;
    const std::size_t shown = std::min(figures.goes_with_calls.size(), page.most_rows);
    for (std::size_t i = 0; i < shown; ++i) {
        const FactorFigures& factor = figures.goes_with_calls[i];
        seconds = seconds || factor.unit == "seconds";
        pen.row(table, {{label_of(factor, words), fmt::format("{}/{}", factor.group.k, factor.group.n),
                         fmt::format("{}/{}", factor.rest_k, factor.rest_n),
                         ratio_figure(factor.ratio, words.range)},
                        false});
    }
    pen.note(fmt::format(fmt::runtime(words.factors_note), figures.factors_looked_at) +
             (seconds ? " " + words.factors_seconds : ""));
}

} // namespace quietpass
