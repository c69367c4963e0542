#include "daemon/statements/sample_statement.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "classifiers/statistics/sample_plan.h"
#include "daemon/audits/sample_form.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

const std::vector<Column> kFormColumns = {
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

std::vector<Cell> row_of(const SampleForm& form, const SampleLimit& limit, const LocalTime& time) {
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

std::vector<std::string> words_of(const SampleForm& form, const SampleLimit& limit) {
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

std::string sequential_words(const std::vector<PassageFacts>& passages, const SequentialWish& wish) {
    const double low_percent = wish.low_percent;
    const double high_percent = wish.high_percent;
    const statistics::Sprt test(low_percent / 100.0, high_percent / 100.0, wish.wrongly_high_percent / 100.0,
                                wish.wrongly_low_percent / 100.0);
    const SequentialEnd end = audited_in_sequence(passages, test);
    std::string out =
        fmt::format("A sequential audit of these passages, {:g} % against {:g} % (errors {:g} and {:g} %), ",
                    low_percent, high_percent, wish.wrongly_high_percent, wish.wrongly_low_percent);
    if (end.answer == statistics::SequentialAnswer::kGoOn) {
        return out + fmt::format("had not ended after {} animals, {} vocal.", end.seen.n, end.seen.k);
    }
    return out + fmt::format("ended after {} animals, {} vocal, in favour of {:g} %.", end.seen.n, end.seen.k,
                             end.answer == statistics::SequentialAnswer::kLow ? low_percent : high_percent);
}

} // namespace

std::optional<SampleLimit> limit_in(const std::vector<StoredShift>& shifts) {
    for (auto shift = shifts.rbegin(); shift != shifts.rend(); ++shift) {
        const auto record = nlohmann::json::parse(shift->record_json, nullptr, false);
        if (record.is_object() && record.contains("limit_percent") && record["limit_percent"].is_number())
            return SampleLimit{record["limit_percent"].get<double>(), record.value("basis", std::string())};
    }
    return std::nullopt;
}

Statement sample_statement(const std::vector<PassageFacts>& facts, const SampleWish& wish,
                           const LocalTime& time) {
    std::vector<SampleForm> forms;
    if (wish.all) {
        forms = samples_of(facts, wish.size, wish.limit.percent);
    } else if (const auto latest = latest_sample(facts, wish.size, wish.limit.percent)) {
        forms.push_back(*latest);
    }

    Section section{"samples", coverage_words(facts), {kFormColumns, {}}, {}};
    for (const SampleForm& form : forms) section.table.rows.push_back(row_of(form, wish.limit, time));
    if (forms.empty()) {
        section.lines.push_back(fmt::format("Fewer than {} scored passages: there is no sample.", wish.size));
    } else {
        section.lines = words_of(forms.back(), wish.limit);
        section.lines.push_back(phases_words(forms.back()));
    }
    if (wish.sequential) {
        section.lines.push_back(sequential_words(facts, *wish.sequential));
    }
    Statement statement;
    statement.figures = {
        {"size", wish.size}, {"limit_percent", wish.limit.percent}, {"basis", wish.limit.basis}};
    statement.sections.push_back(section);
    return statement;
}

} // namespace quietpass
