#include "daemon/commands/passages_command.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "daemon/commands/records_options.h"
#include "daemon/factors/passage_facts.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

struct PassagesOptions {
    RecordsOptions records;
    bool vocal_only = false;
    std::int64_t last = 0; // 0: all
};

const std::vector<Column> kColumns = {
    {"shift_id", "shift", 0},
    {"passage_id", "passage", 0},
    {"", "entered", 0, ShownTo::kPeople},
    {"entered", "", 0, ShownTo::kMachines},
    {"entered_s", "", 3, ShownTo::kMachines},
    {"", "held s", 1, ShownTo::kPeople},
    {"held_for_s", "", 3, ShownTo::kMachines},
    {"prods", "prods", 0},
    {"stuns", "", 0, ShownTo::kMachines},
    {"", "heard", 0, ShownTo::kPeople, true},
    {"calls", "", 0, ShownTo::kMachines},
    {"vocal", "", 0, ShownTo::kMachines},
    {"phases", "", 0, ShownTo::kMachines},
    {"calls_after_stun", "", 0, ShownTo::kMachines},
    {"covered", "", 0, ShownTo::kMachines},
    {"excluded", "", 0, ShownTo::kMachines},
    {"line_rate_per_hour", "", 1, ShownTo::kMachines},
    {"hour_of_shift", "", 0, ShownTo::kMachines},
    {"lot", "lot", 0, ShownTo::kAll, true},
    {"notes", "", 0, ShownTo::kMachines},
    {"", "odd", 0, ShownTo::kPeople, true},
    {"flags", "", 0, ShownTo::kMachines},
};

std::string joined(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : ";") + word;
    return out;
}

std::string phases_of(const PassageFacts& facts, const char* between) {
    std::string out;
    for (std::size_t i = 0; i < kCountedPhases.size(); ++i) {
        if (facts.vocal_in[i]) out += (out.empty() ? "" : between) + std::string(name_of(kCountedPhases[i]));
    }
    return out;
}

std::string heard(const PassageFacts& facts) {
    if (!facts.scored()) return "not scored: " + facts.row.passage.excluded;
    return facts.vocal() ? "VOCAL " + phases_of(facts, ",") : "silent";
}

// A shift's record has null, and doesn't leave it out, where the station cuts without a stun.
bool cuts(const StoredShift& shift) {
    if (shift.record_json.empty()) return false;
    const auto record = nlohmann::json::parse(shift.record_json, nullptr, false);
    const auto once = record.find("stunned_once");
    return once != record.end() && once->is_null();
}

std::vector<Cell> row_of(const PassageFacts& facts, const LocalTime& time, bool cut) {
    const Passage& passage = facts.row.passage;
    const Cell entered = facts.row.entered_utc_ns ? Cell(utc_text(*facts.row.entered_utc_ns)) : Cell();
    std::string odd = joined(passage.flags);
    if (passage.calls_after_stun > 0)
        odd = std::string(cut ? "call after the cut" : "CALL AFTER STUN") + (odd.empty() ? "" : ";" + odd);
    return {facts.row.shift_id,
            passage.id,
            entered_text(facts.row, time),
            entered,
            passage.entered_s,
            cell_of(facts.held_for_s),
            cell_of(facts.held_for_s),
            std::int64_t{passage.prods},
            std::int64_t{passage.stuns},
            heard(facts),
            std::int64_t{passage.calls},
            passage.vocal,
            phases_of(facts, ";"),
            std::int64_t{passage.calls_after_stun},
            passage.covered,
            passage.excluded,
            cell_of(facts.line_rate_per_hour),
            facts.hour_of_shift,
            cell_of(facts.lot),
            joined(facts.notes),
            odd,
            joined(passage.flags)};
}

void list_passages(const PassagesOptions& options) {
    OpenRecords records("passages", options.records.records);
    const RecordSpan span = records.span(options.records);
    const bool of_all = !span.from_utc_ns && !span.to_utc_ns && !span.shift_id;
    const SpanRows rows = of_all && options.last > 0
                              ? records.store().read_newest(options.last, options.vocal_only)
                              : records.store().read_span(span);
    std::vector<PassageFacts> facts = facts_of(rows, Journal(records.store().journal()), span);
    Statement statement;
    Section section{"passages", "", {kColumns, {}}, {}};
    const auto keep_last = [&] {
        const auto most = static_cast<std::size_t>(options.last);
        if (options.last > 0 && facts.size() > most) facts.erase(facts.begin(), facts.end() - options.last);
    };
    if (!options.vocal_only) keep_last();
    section.lines.push_back(coverage_words(facts));
    if (options.vocal_only) {
        std::erase_if(facts,
                      [](const PassageFacts& passage) { return !passage.scored() || !passage.vocal(); });
        keep_last();
    }
    const bool cut = std::any_of(rows.shifts.begin(), rows.shifts.end(), cuts);
    for (const PassageFacts& passage : facts)
        section.table.rows.push_back(row_of(passage, records.time(), cut));
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

} // namespace

void add_passages(CLI::App& app) {
    const auto options = std::make_shared<PassagesOptions>();
    CLI::App* command = app.add_subcommand("passages", "List passages of a record store");
    add_records(*command, options->records);
    add_span(*command, options->records);
    command->add_flag("--vocal", options->vocal_only, "Only scored ones that were vocal");
    command->add_option("--last", options->last, "Only the last so many")->check(CLI::PositiveNumber);
    add_output(*command, options->records);
    command->callback([options] { list_passages(*options); });
}

} // namespace quietpass
