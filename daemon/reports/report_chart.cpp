#include "daemon/reports/report_chart.h"

#include <algorithm>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/statistics/p_chart.h"

namespace quietpass {

namespace {

void set_limits(ReportChart& chart) {
    evaluation::Rate all;
    for (const ChartPoint& point : chart.points) {
        all.k += point.vocal.k;
        all.n += point.vocal.n;
    }
    if (chart.points.size() < kLimitsFrom || all.n == 0) return;
    const double mean = all.value().value();
    chart.mean_percent = rounded(100.0 * mean, kPercentDecimals);
    for (ChartPoint& point : chart.points) {
        const Interval limits = statistics::p_chart_limits(mean, point.vocal.n);
        point.low_percent = rounded(100.0 * limits.low, kPercentDecimals);
        point.high_percent = rounded(100.0 * limits.high, kPercentDecimals);
        point.outside =
            *point.vocal.percent < *point.low_percent || *point.vocal.percent > *point.high_percent;
    }
}

// A to Z, then AA, AB …
std::string letter_of(std::size_t number) {
    std::string letters(1, static_cast<char>('A' + number % 26));
    return number < 26 ? letters : letter_of(number / 26 - 1) + letters;
}

} // namespace

ReportChart report_chart(const std::vector<ReportShift>& recent, const std::vector<ReportShift>& reported) {
    ReportChart chart;
    for (const ReportShift& shift : recent) {
        if (!shift.figures.vocal.percent) continue;
        const bool own = std::any_of(reported.begin(), reported.end(),
                                     [&](const ReportShift& one) { return one.shift_id == shift.shift_id; });
        chart.points.push_back({shift.shift_id, shift.start_utc_ns, shift.end_utc_ns, own,
                                shift.figures.vocal, std::nullopt, std::nullopt, false});
    }
    set_limits(chart);
    return chart;
}

std::vector<ReportChange> report_changes(const Journal& journal, const ReportChart& chart,
                                         const ReportFigures& figures) {
    std::vector<ReportChange> changes;
    if (!figures.from_utc_ns) return changes;
    std::int64_t from = *figures.from_utc_ns;
    std::optional<std::int64_t> charted_from;
    if (!chart.points.empty()) charted_from = chart.points.front().start_utc_ns;
    if (charted_from) from = std::min(from, *charted_from);
    std::size_t letters = 0;
    for (const JournalEntry& entry : journal.of_kind(EntryKind::kChange)) {
        if (entry.at_utc_ns < from) continue;
        if (figures.to_utc_ns && entry.at_utc_ns >= *figures.to_utc_ns) continue;
        ReportChange change{{},         entry.at_utc_ns,    entry.at_utc_ns >= *figures.from_utc_ns,
                            entry.text, entry.station_part, entry.by};
        if (charted_from && entry.at_utc_ns >= *charted_from) change.letter = letter_of(letters++);
        changes.push_back(change);
    }
    return changes;
}

} // namespace quietpass
