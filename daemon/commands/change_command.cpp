#include "daemon/commands/change_command.h"

#include <fmt/format.h>

#include "daemon/changes/comparison.h"
#include "daemon/changes/run_chart.h"
#include "daemon/changes/window.h"
#include "daemon/commands/figure_texts.h"
#include "daemon/commands/journal_commands.h"
#include "daemon/commands/records_options.h"
#include "daemon/factors/lot_figures.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct CompareOptions {
    RecordsOptions records;
    std::int64_t id = 0;
    std::string before = "7d";
    std::string after = "7d";
    std::optional<double> hoped_percent;
    double level = 0.05;
    double power_percent = 80.0;
    std::int64_t group = 50;
};

// Both windows' passages of one side as the comparison takes them.
struct Side {
    std::vector<PassageFacts> passages;

    ComparedSide compared() const {
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

    std::vector<ChartPassage> charted() const {
        std::vector<ChartPassage> chart;
        for (const PassageFacts& passage : passages) {
            chart.push_back({*passage.row.entered_utc_ns, passage.vocal()});
        }
        return chart;
    }

    Cell first() const {
        return passages.empty() ? Cell() : Cell(utc_text(*passages.front().row.entered_utc_ns));
    }
    Cell last() const {
        return passages.empty() ? Cell() : Cell(utc_text(*passages.back().row.entered_utc_ns));
    }
};

Window window_of(const OpenRecords& records, const std::string& option, const std::string& text) {
    const std::optional<Window> window = window_from(text, records.time());
    if (!window) {
        records.fail(option + " " + text +
                     ": expected a time like 7d, 36h or 90m, a number of scored passages like 400, or two "
                     "moments FROM,TO");
    }
    return *window;
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

void add_figures(Statement& statement, const std::string& name, const Side& side,
                 const ComparedSide& compared) {
    statement.figures.push_back({name + "_first", side.first()});
    statement.figures.push_back({name + "_last", side.last()});
    statement.figures.push_back({name + "_vocal", compared.vocal.k});
    statement.figures.push_back({name + "_passages", compared.vocal.n});
    statement.figures.push_back({name + "_percent", percent_cell(compared.vocal.value())});
    statement.figures.push_back({name + "_percent_low", low_of(compared.interval)});
    statement.figures.push_back({name + "_percent_high", high_of(compared.interval)});
}

const std::vector<Column> kSideColumns = {
    {"", "", 0},      {"", "first", 0},    {"", "last", 0},
    {"", "vocal", 0}, {"", "% (95 %)", 0}, {"", "% by lots", 0},
};

std::vector<Cell> row_of(const std::string& name, const Side& side, const ComparedSide& compared,
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

Section sides_section(const JournalEntry& change, const Comparison& comparison, const Side& before,
                      const Side& after, const LocalTime& time) {
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

// What else was altered within the windows, so that it may be that.
std::vector<std::string> other_changes(const Journal& journal, std::int64_t id, const Side& before,
                                       const Side& after, const LocalTime& time) {
    std::vector<std::string> lines;
    for (const Side* side : {&before, &after}) {
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

void compare_change(const CompareOptions& options) {
    OpenRecords records("change compare", options.records.records);
    const Journal journal(records.store().journal());
    const std::optional<JournalEntry> change = journal.entry(options.id);
    if (!change || change->kind != EntryKind::kChange) {
        records.fail(std::to_string(options.id) + ": no such change is in force; see `change list`");
    }
    const Window before_window = window_of(records, "--before", options.before);
    const Window after_window = window_of(records, "--after", options.after);
    const std::vector<PassageFacts> all = facts_of(records.store().read_span({}), journal, {});
    const Side before{passages_before(all, change->at_utc_ns, before_window)};
    const Side after{passages_after(all, change->at_utc_ns, after_window)};

    ComparisonWish wish;
    wish.showing = {options.level, options.power_percent / 100.0};
    if (options.hoped_percent) wish.hoped_share = *options.hoped_percent / 100.0;
    const Comparison comparison = compare(before.compared(), after.compared(), wish);

    Statement statement;
    statement.figures = {{"change_id", change->id},
                         {"at", utc_text(change->at_utc_ns)},
                         {"what", change->text},
                         {"station_part", change->station_part}};
    add_figures(statement, "before", before, comparison.before);
    add_figures(statement, "after", after, comparison.after);
    const auto& difference = comparison.difference;
    const auto& by_lots = comparison.difference_allowing_for_lots;
    const std::vector<Figure> more = {
        {"difference_points", difference ? Cell(100.0 * difference->value) : Cell()},
        {"difference_low", difference ? Cell(100.0 * difference->interval.low) : Cell()},
        {"difference_high", difference ? Cell(100.0 * difference->interval.high) : Cell()},
        {"difference_low_by_lots", low_of(by_lots)},
        {"difference_high_by_lots", high_of(by_lots)},
        {"fisher_p", difference ? Cell(comparison.fisher_p) : Cell()},
        {"level", options.level},
        {"shown", difference ? Cell(comparison.shown) : Cell()},
        {"hoped_percent", percent_cell(comparison.hoped_share)},
        {"power", options.power_percent / 100.0},
        {"needed_each", cell_of(comparison.needed_each)},
        {"needed_more_after", cell_of(comparison.needed_more_after)}};
    statement.figures.insert(statement.figures.end(), more.begin(), more.end());
    Section sides = sides_section(*change, comparison, before, after, records.time());
    for (const std::string& line : other_changes(journal, change->id, before, after, records.time())) {
        sides.lines.push_back(line);
    }
    statement.sections = {sides, chart_section(run_chart(before.charted(), after.charted(), options.group),
                                               options.group, records.time())};
    statement.csv_section = 1;
    print(statement, options.records.output());
}

} // namespace

void add_change(CLI::App& app) {
    CLI::App* command = app.add_subcommand("change", "What was altered at the station: before and after");
    add_entry_commands(*command, EntryKind::kChange);

    const auto options = std::make_shared<CompareOptions>();
    CLI::App* compare_app =
        command->add_subcommand("compare", "Passages before a change against those after");
    add_records(*compare_app, options->records);
    compare_app->add_option("id", options->id, "The change's number in the list")->required();
    const char* const kWindow =
        "How far: a time (7d, 36h, 90m), a number of scored\n"
        "passages (400), or two moments FROM,TO";
    compare_app->add_option("--before", options->before, kWindow)->capture_default_str();
    compare_app->add_option("--after", options->after, kWindow)->capture_default_str();
    compare_app
        ->add_option("--hoped", options->hoped_percent, "Percent hoped for after; half of before without it")
        ->check(CLI::Range(0.0, 100.0));
    compare_app->add_option("--level", options->level, "A p under this counts as shown; 0.05 is custom")
        ->check(CLI::Range(0.0001, 0.5))
        ->capture_default_str();
    compare_app
        ->add_option("--power", options->power_percent,
                     "How many of 100 true changes of the hoped size are to\nbe found; 80 is custom")
        ->check(CLI::Range(50.0, 99.9))
        ->capture_default_str();
    compare_app->add_option("--group", options->group, "Scored passages in a group of the run chart")
        ->check(CLI::Range(5, 100000))
        ->capture_default_str();
    add_output(*compare_app, options->records);
    compare_app->footer("--csv has the run chart, --json everything.");
    compare_app->callback([options] { compare_change(*options); });
}

} // namespace quietpass
