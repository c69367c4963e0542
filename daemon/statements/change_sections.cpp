#include "daemon/statements/change_sections.h"

#include <fmt/format.h>

#include "daemon/factors/lot_figures.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

const std::vector<Column> kSideColumns = {
    {"", "", 0},      {"", "first", 0},    {"", "last", 0},
    {"", "vocal", 0}, {"", "% (95 %)", 0}, {"", "% by lots", 0},
};

std::vector<Cell> row_of(const std::string& name, const ChangeSide& side, const ComparedSide& compared,
                         const LocalTime& time) {
    const auto moment = [&](bool last) {
        if (side.passages.empty()) return Cell();
        const PassageFacts& passage = last ? side.passages.back() : side.passages.front();
        return Cell(time.text(*passage.row.entered_utc_ns).substr(5, 11)); // without year and seconds
    };
    std::optional<Interval> by_lots;
    if (compared.allowing_for_lots) by_lots = compared.allowing_for_lots->interval;
    return {name,
            moment(false),
            moment(true),
            counts_text(compared.vocal),
            percent_text(compared.vocal.value(), compared.interval),
            by_lots ? fmt::format("{:.1f}-{:.1f}", 100.0 * by_lots->low, 100.0 * by_lots->high)
                    : std::string("-")};
}

const std::vector<Column> kChartColumns = {
    {"side", "", 0},
    {"", "first animal", 0, ShownTo::kPeople},
    {"first", "", 0, ShownTo::kMachines},
    {"", "vocal", 0, ShownTo::kPeople},
    {"vocal", "", 0, ShownTo::kMachines},
    {"passages", "", 0, ShownTo::kMachines},
    {"percent", "%", 1},
    {"limit_low_percent", "", 2, ShownTo::kMachines},
    {"limit_high_percent", "", 2, ShownTo::kMachines},
    {"outside", "", 0, ShownTo::kMachines},
    {"", "", 0, ShownTo::kPeople}, // the drawing; its title is the scale
};

} // namespace

ComparedSide ChangeSide::compared() const {
    ComparedSide side;
    bool all_have_lots = true;
    for (const PassageFacts& passage : passages) {
        ++side.vocal.n;
        if (passage.vocal()) ++side.vocal.k;
        all_have_lots = all_have_lots && passage.lot;
    }
    if (all_have_lots) {
        for (const LotRow& lot : lot_figures(passages).lots) side.lots.push_back(lot.vocal);
    }
    return side;
}

std::vector<ChartPassage> ChangeSide::charted() const {
    std::vector<ChartPassage> chart;
    for (const PassageFacts& passage : passages) {
        chart.push_back({*passage.row.entered_utc_ns, passage.vocal()});
    }
    return chart;
}

Cell ChangeSide::first() const {
    return passages.empty() ? Cell() : Cell(utc_text(*passages.front().row.entered_utc_ns));
}

Cell ChangeSide::last() const {
    return passages.empty() ? Cell() : Cell(utc_text(*passages.back().row.entered_utc_ns));
}

Cell percent_cell(const std::optional<double>& share) {
    return share ? Cell(100.0 * *share) : Cell();
}

Cell low_of(const std::optional<Interval>& interval) {
    return interval ? Cell(100.0 * interval->low) : Cell();
}

Cell high_of(const std::optional<Interval>& interval) {
    return interval ? Cell(100.0 * interval->high) : Cell();
}

Section sides_section(const JournalEntry& change, const Comparison& comparison, const ChangeSide& before,
                      const ChangeSide& after, const LocalTime& time) {
    Section section;
    section.key = "sides";
    section.heading =
        fmt::format("change {} of {}: {}{}", change.id, time.text(change.at_utc_ns), change.text,
                    change.station_part.empty() ? "" : " (" + change.station_part + ")");
    section.table = {
        kSideColumns,
        {row_of("before", before, comparison.before, time), row_of("after", after, comparison.after, time)}};
    for (Column& column : section.table.columns) column.shown_to = ShownTo::kPeople;
    if (comparison.difference) {
        const Interval& interval = comparison.difference->interval;
        section.lines.push_back(fmt::format("Difference {:+.1f} points ({:+.1f} to {:+.1f}, Newcombe 95 %).",
                                            100.0 * comparison.difference->value, 100.0 * interval.low,
                                            100.0 * interval.high));
    }
    for (const std::string& line : words_of(comparison)) section.lines.push_back(line);
    return section;
}

Section chart_section(const RunChart& chart, std::int64_t group, const LocalTime& time) {
    constexpr std::size_t kDrawn = 36;
    const DrawnChart drawing = drawn(chart, kDrawn);
    Section section{"run_chart", "", {kChartColumns, {}}, {}};
    section.heading = fmt::format("Run chart, groups of {} scored passages:", group);
    const std::string right = fmt::format("{:.0f} %", drawing.right_percent);
    section.table.columns.back().title = "0" + std::string(kDrawn - 1 - right.size(), ' ') + right;
    for (std::size_t i = 0; i < chart.groups.size(); ++i) {
        const ChartGroup& one = chart.groups[i];
        section.table.rows.push_back({std::string(one.after ? "after" : "before"),
                                      time.text(one.first_utc_ns).substr(0, 16), utc_text(one.first_utc_ns),
                                      counts_text(one.vocal), one.vocal.k, one.vocal.n,
                                      percent_cell(one.vocal.value()), low_of(one.limits),
                                      high_of(one.limits), one.outside(), drawing.lines[i]});
    }
    section.lines.push_back(
        "| mean before, : limits of chance around it (three standard deviations, p-chart), * a group, # a "
        "group "
        "outside them.");
    return section;
}

std::vector<std::string> other_changes(const Journal& journal, std::int64_t id, const ChangeSide& before,
                                       const ChangeSide& after, const LocalTime& time) {
    std::vector<std::string> lines;
    for (const ChangeSide* side : {&before, &after}) {
        if (side->passages.empty()) continue;
        const std::int64_t first_ns = *side->passages.front().row.entered_utc_ns;
        const std::int64_t last_ns = *side->passages.back().row.entered_utc_ns;
        for (const JournalEntry& other : journal.of_kind(EntryKind::kChange)) {
            if (other.id == id || other.at_utc_ns < first_ns || other.at_utc_ns > last_ns) continue;
            lines.push_back(fmt::format(
                "Change {} ({}, {}) lies within the window {}: the difference may be its.", other.id,
                other.text, time.text(other.at_utc_ns), side == &before ? "before" : "after"));
        }
    }
    return lines;
}

} // namespace quietpass
