#include "daemon/commands/change_compare_command.h"

#include <memory>

#include "daemon/changes/window.h"
#include "daemon/commands/change_sections.h"
#include "daemon/commands/figure_texts.h"
#include "daemon/commands/records_options.h"
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

Window window_of(const OpenRecords& records, const std::string& option, const std::string& text) {
    const std::optional<Window> window = window_from(text, records.time());
    if (!window) {
        records.fail(option + " " + text +
                     ": expected a time like 7d, 36h or 90m, a number of scored passages like 400, or two "
                     "moments FROM,TO");
    }
    return *window;
}

void add_figures(Statement& statement, const std::string& name, const ChangeSide& side,
                 const ComparedSide& compared) {
    statement.figures.push_back({name + "_first", side.first()});
    statement.figures.push_back({name + "_last", side.last()});
    statement.figures.push_back({name + "_vocal", compared.vocal.k});
    statement.figures.push_back({name + "_passages", compared.vocal.n});
    statement.figures.push_back({name + "_percent", percent_cell(compared.vocal.value())});
    statement.figures.push_back({name + "_percent_low", low_of(compared.interval)});
    statement.figures.push_back({name + "_percent_high", high_of(compared.interval)});
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
    const ChangeSide before{passages_before(all, change->at_utc_ns, before_window)};
    const ChangeSide after{passages_after(all, change->at_utc_ns, after_window)};

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

void add_change_compare(CLI::App& change) {
    const auto options = std::make_shared<CompareOptions>();
    CLI::App* compare_app = change.add_subcommand("compare", "Passages before a change against those after");
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
