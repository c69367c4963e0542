#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "classifiers/statistics/sample_plan.h"
#include "daemon/audits/sample_form.h"
#include "daemon/commands/figure_texts.h"
#include "daemon/commands/handaudit_command.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

struct SampleOptions {
    RecordsOptions records;
    std::int64_t size = 100;
    bool all = false;
    std::string station;
    std::optional<double> limit_percent;
    std::string basis;
    std::vector<double> sequential_percent;           // low, high
    std::vector<double> errors_percent = {5.0, 10.0}; // to say high when it is low, and the other way round
};

struct Limit {
    double percent = 0.0;
    std::string basis;
};

// As given; else the station file's; else that of the latest closed shift.
Limit limit_of(const SampleOptions& options, const OpenRecords& records, const SpanRows& rows) {
    if (options.limit_percent) return {*options.limit_percent, options.basis};
    if (!options.station.empty()) {
        const StationSettings settings = read_station_file(options.station);
        return {settings.scoring.limit_percent, settings.scoring.basis};
    }
    for (auto shift = rows.shifts.rbegin(); shift != rows.shifts.rend(); ++shift) {
        const auto record = nlohmann::json::parse(shift->record_json, nullptr, false);
        if (record.is_object() && record.contains("limit_percent") && record["limit_percent"].is_number()) {
            return {record["limit_percent"].get<double>(), record.value("basis", std::string())};
        }
    }
    records.fail(
        "no shift of this span is closed yet, so the limit isn't known; give --station, or --limit and "
        "--basis");
}

const std::vector<Column> kColumns = {
    {"", "first", 0, ShownTo::kPeople},
    {"first_shift_id", "", 0, ShownTo::kMachines},
    {"first_passage_id", "", 0, ShownTo::kMachines},
    {"first_entered", "", 0, ShownTo::kMachines},
    {"", "last", 0, ShownTo::kPeople},
    {"last_shift_id", "", 0, ShownTo::kMachines},
    {"last_passage_id", "", 0, ShownTo::kMachines},
    {"last_entered", "", 0, ShownTo::kMachines},
    {"", "vocal", 0, ShownTo::kPeople},
    {"vocal", "", 0, ShownTo::kMachines},
    {"passages", "", 0, ShownTo::kMachines},
    {"", "% (95 %)", 0, ShownTo::kPeople},
    {"percent", "", 2, ShownTo::kMachines},
    {"percent_low", "", 2, ShownTo::kMachines},
    {"percent_high", "", 2, ShownTo::kMachines},
    {"passed_over", "not scored", 0},
    {"limit_percent", "", 2, ShownTo::kMachines},
    {"basis", "", 0, ShownTo::kMachines},
    {"verdict", "verdict", 0},
    {"interval_contains_limit", "", 0, ShownTo::kMachines},
    {"vocal_entry", "", 0, ShownTo::kMachines},
    {"vocal_body_held", "", 0, ShownTo::kMachines},
    {"vocal_held", "", 0, ShownTo::kMachines},
    {"vocal_at_stun", "", 0, ShownTo::kMachines},
};

Cell entered_utc(const PassageFacts& passage) {
    return passage.row.entered_utc_ns ? Cell(utc_text(*passage.row.entered_utc_ns)) : Cell();
}

std::vector<Cell> row_of(const SampleForm& form, const Limit& limit, const LocalTime& time) {
    std::vector<Cell> cells = {entered_text(form.first.row, time).substr(0, 16),
                               form.first.row.shift_id,
                               form.first.row.passage.id,
                               entered_utc(form.first),
                               entered_text(form.last.row, time).substr(0, 16),
                               form.last.row.shift_id,
                               form.last.row.passage.id,
                               entered_utc(form.last),
                               counts_text(form.vocal),
                               form.vocal.k,
                               form.vocal.n,
                               percent_text(form.vocal.value(), form.interval),
                               100.0 * *form.vocal.value(),
                               100.0 * form.interval->low,
                               100.0 * form.interval->high,
                               form.passed_over,
                               limit.percent,
                               limit.basis,
                               std::string(form.within_limit() ? "within" : "over"),
                               form.limit_in_interval()};
    for (const std::int64_t count : form.vocal_in) cells.push_back(count);
    return cells;
}

std::vector<std::string> words_of(const SampleForm& form, const Limit& limit) {
    std::vector<std::string> lines;
    lines.push_back(fmt::format("Limit {:g} % ({}): at most {} vocal of {}.", limit.percent,
                                limit.basis.empty() ? "no basis given" : limit.basis, form.most_vocal(),
                                form.vocal.n));
    if (form.limit_in_interval()) {
        lines.push_back("The interval holds the limit: these animals are too few to be sure of the verdict.");
    }
    const double twice = std::min(1.0, 2.0 * limit.percent / 100.0);
    lines.push_back(fmt::format(
        "Of samples like this, a station truly at {:g} % passes {:.0f} in 100, one truly at {:g} % {:.0f} in "
        "100.",
        limit.percent,
        100.0 * statistics::chance_to_pass(limit.percent / 100.0, form.most_vocal(), form.vocal.n),
        100.0 * twice, 100.0 * statistics::chance_to_pass(twice, form.most_vocal(), form.vocal.n)));
    lines.push_back(kLotsCaution);
    return lines;
}

std::string phases_words(const SampleForm& form) {
    std::string out = "Vocal passages of the last sample by phase:";
    for (std::size_t i = 0; i < kCountedPhases.size(); ++i) {
        out += fmt::format(" {} {}{}", name_of(kCountedPhases[i]), form.vocal_in[i],
                           i + 1 < kCountedPhases.size() ? "," : ".");
    }
    return out;
}

std::string sequential_words(const std::vector<PassageFacts>& passages, const SampleOptions& options) {
    const double low_percent = options.sequential_percent[0];
    const double high_percent = options.sequential_percent[1];
    const statistics::Sprt test(low_percent / 100.0, high_percent / 100.0, options.errors_percent[0] / 100.0,
                                options.errors_percent[1] / 100.0);
    const SequentialEnd end = audited_in_sequence(passages, test);
    std::string out =
        fmt::format("A sequential audit of these passages, {:g} % against {:g} % (errors {:g} and {:g} %), ",
                    low_percent, high_percent, options.errors_percent[0], options.errors_percent[1]);
    if (end.answer == statistics::SequentialAnswer::kGoOn) {
        return out + fmt::format("had not ended after {} animals, {} vocal.", end.seen.n, end.seen.k);
    }
    return out + fmt::format("ended after {} animals, {} vocal, in favour of {:g} %.", end.seen.n, end.seen.k,
                             end.answer == statistics::SequentialAnswer::kLow ? low_percent : high_percent);
}

void check_sequential(const OpenRecords& records, const SampleOptions& options) {
    if (options.sequential_percent.empty()) return;
    const double low = options.sequential_percent[0];
    const double high = options.sequential_percent[1];
    if (!(low > 0.0 && low < high && high < 100.0)) {
        records.fail("--sequential: expected two percentages, the lower first, as in 1,10");
    }
    const double sum = options.errors_percent[0] + options.errors_percent[1];
    if (!(options.errors_percent[0] > 0.0 && options.errors_percent[1] > 0.0 && sum < 100.0)) {
        records.fail("--sequential-errors: expected two percentages over 0, as in 5,10");
    }
}

void show_sample(const SampleOptions& options) {
    OpenRecords records("handaudit sample", options.records.records);
    check_sequential(records, options);
    const RecordSpan span = records.span(options.records);
    const SpanRows rows = records.store().read_span(span);
    const std::vector<PassageFacts> facts = facts_of(rows, Journal(records.store().journal()), span);
    const Limit limit = limit_of(options, records, rows);
    std::vector<SampleForm> forms;
    if (options.all) {
        forms = samples_of(facts, options.size, limit.percent);
    } else if (const auto latest = latest_sample(facts, options.size, limit.percent)) {
        forms.push_back(*latest);
    }

    Section section{"samples", coverage_words(facts), {kColumns, {}}, {}};
    for (const SampleForm& form : forms) section.table.rows.push_back(row_of(form, limit, records.time()));
    if (forms.empty()) {
        section.lines.push_back(
            fmt::format("Fewer than {} scored passages: there is no sample.", options.size));
    } else {
        section.lines = words_of(forms.back(), limit);
        section.lines.push_back(phases_words(forms.back()));
    }
    if (!options.sequential_percent.empty()) {
        section.lines.push_back(sequential_words(facts, options));
    }
    Statement statement;
    statement.figures = {{"size", options.size}, {"limit_percent", limit.percent}, {"basis", limit.basis}};
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

} // namespace

void add_handaudit_sample(CLI::App& command) {
    const auto options = std::make_shared<SampleOptions>();
    CLI::App* sample_app =
        command.add_subcommand("sample", "The guides' sample, taken from the machine's record");
    add_records(*sample_app, options->records);
    add_span(*sample_app, options->records);
    sample_app
        ->add_option("--of", options->size, "Covered passages in a row; guides: 100, or 50 in small plants")
        ->check(CLI::Range(1, 100000))
        ->capture_default_str();
    sample_app->add_flag("--all", options->all, "Every sample of the span; without it the latest");
    sample_app->add_option("--station", options->station,
                           "Station file with limit and basis; without it those\n"
                           "of the latest closed shift");
    CLI::Option* limit = sample_app->add_option("--limit", options->limit_percent, "Limit, percent")
                             ->check(CLI::Range(0.0, 100.0));
    sample_app->add_option("--basis", options->basis, "Which guide, which edition")->needs(limit);
    sample_app
        ->add_option("--sequential", options->sequential_percent,
                     "Two percentages, as 1,10: when an animal-by-animal\naudit would have ended")
        ->delimiter(',')
        ->expected(2);
    sample_app
        ->add_option("--sequential-errors", options->errors_percent,
                     "Of 100 such audits: wrongly over, wrongly under;\n5,10 is custom")
        ->delimiter(',')
        ->expected(2);
    add_output(*sample_app, options->records);
    sample_app->callback([options] { show_sample(*options); });
}

} // namespace quietpass
