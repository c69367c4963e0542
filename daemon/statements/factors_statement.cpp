#include "daemon/statements/factors_statement.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>
#include <string_view>

#include "daemon/factors/noise_rows.h"
#include "daemon/factors/trade_list.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

const std::vector<Column> kPhaseColumns = {
    {"phase", "phase", 0},
    {"", "vocal", 0, ShownTo::kPeople},
    {"vocal", "", 0, ShownTo::kMachines},
    {"passages", "", 0, ShownTo::kMachines},
    {"", "% (95 %)", 0, ShownTo::kPeople},
    {"percent", "", 2, ShownTo::kMachines},
    {"percent_low", "", 2, ShownTo::kMachines},
    {"percent_high", "", 2, ShownTo::kMachines},
    {"look_at", "", 0, ShownTo::kMachines},
    {"look_at_basis", "", 0, ShownTo::kMachines},
};

const std::vector<Column> kFactorColumns = {
    {"", "passages with", 0, ShownTo::kPeople, true},
    {"factor", "", 0, ShownTo::kMachines},
    {"level", "", 0, ShownTo::kMachines},
    {"unit", "", 0, ShownTo::kMachines},
    {"", "vocal", 0, ShownTo::kPeople},
    {"vocal", "", 0, ShownTo::kMachines},
    {"passages", "", 0, ShownTo::kMachines},
    {"", "% (95 %)", 0, ShownTo::kPeople},
    {"percent", "", 2, ShownTo::kMachines},
    {"percent_low", "", 2, ShownTo::kMachines},
    {"percent_high", "", 2, ShownTo::kMachines},
    {"", "the rest", 0, ShownTo::kPeople},
    {"rest_vocal", "", 0, ShownTo::kMachines},
    {"rest_passages", "", 0, ShownTo::kMachines},
    {"", "ratio (95 %)", 0, ShownTo::kPeople},
    {"risk_ratio", "", 3, ShownTo::kMachines},
    {"risk_ratio_low", "", 3, ShownTo::kMachines},
    {"risk_ratio_high", "", 3, ShownTo::kMachines},
    {"", "p", 0, ShownTo::kPeople},
    {"fisher_p", "", 6, ShownTo::kMachines},
};

// Short, so that a long span's counts have room beside it: "hold 10-20 s", "prods 3+", "after a bang".
std::string label_of(const FactorRow& row) {
    static const std::map<std::string, std::string> kWords = {
        {"hold_time", "hold"},          {"second_stun", "second stun"}, {"bangs_held", "bangs held"},
        {"line_rate", "line"},          {"hour_of_shift", "hour"},      {"bang_before", "after a bang"},
        {"hiss_before", "after a hiss"}};
    const auto words = kWords.find(row.factor);
    std::string level = row.level == "any" ? "" : row.level;
    // A lot's name and a note are the plant's own words.
    if (row.factor != "lot" && row.factor != "note") {
        if (const std::size_t to = level.find(" to "); to != std::string::npos) level.replace(to, 4, "-");
        constexpr std::string_view kOrMore = " or more";
        if (level.ends_with(kOrMore)) level.replace(level.size() - kOrMore.size(), kOrMore.size(), "+");
    }
    return (words == kWords.end() ? row.factor : words->second) + (level.empty() ? "" : " " + level);
}

std::vector<Cell> percent_cells(const evaluation::Rate& rate, const std::optional<Interval>& interval) {
    if (!interval) return {Cell(), Cell(), Cell()};
    return {100.0 * *rate.value(), 100.0 * interval->low, 100.0 * interval->high};
}

std::vector<Cell> row_of(const PhaseRow& row) {
    std::vector<Cell> cells = {std::string(name_of(row.phase)), counts_text(row.vocal), row.vocal.k,
                               row.vocal.n, percent_text(row.vocal.value(), row.interval)};
    for (Cell& cell : percent_cells(row.vocal, row.interval)) cells.emplace_back(cell);
    cells.emplace_back(std::string(trade_looks_at(row.phase)));
    cells.emplace_back(std::string(kCommonPractice));
    return cells;
}

std::vector<Cell> row_of(const FactorRow& row) {
    std::vector<Cell> cells = {
        label_of(row),          row.factor,  row.level,   row.unit,
        counts_text(row.group), row.group.k, row.group.n, percent_text(row.group.value(), row.interval)};
    for (Cell& cell : percent_cells(row.group, row.interval)) cells.emplace_back(cell);
    cells.emplace_back(counts_text(row.rest));
    cells.emplace_back(row.rest.k);
    cells.emplace_back(row.rest.n);
    cells.emplace_back(ratio_text(row.ratio));
    cells.emplace_back(row.ratio ? Cell(row.ratio->value) : Cell());
    cells.emplace_back(row.ratio ? Cell(row.ratio->interval.low) : Cell());
    cells.emplace_back(row.ratio ? Cell(row.ratio->interval.high) : Cell());
    cells.emplace_back(p_text(row.fisher_p));
    cells.emplace_back(row.fisher_p);
    return cells;
}

Section phases_section(const std::vector<PassageFacts>& facts, const FactorSettings& settings) {
    Section section{"phases",
                    coverage_words(facts) + " Where in the passage animals were vocal:",
                    {kPhaseColumns, {}},
                    {}};
    std::string looks = "The trade's usual places to look (common practice), not causes:";
    section.lines.push_back(looks);
    for (const PhaseRow& row : phase_rows(facts, settings)) {
        section.table.rows.push_back(row_of(row));
        section.lines.push_back(fmt::format("  {}: {}", name_of(row.phase), trade_looks_at(row.phase)));
    }
    return section;
}

Section factors_section(const std::vector<PassageFacts>& facts, const FactorSettings& settings) {
    Section section{"factors", "", {kFactorColumns, {}}, {}};
    section.heading = settings.phase
                          ? fmt::format("What went with calls in the phase {}:", name_of(*settings.phase))
                          : std::string("What went with the calls:");
    for (const FactorRow& row : factor_rows(facts, settings)) section.table.rows.push_back(row_of(row));
    const std::vector<FactorRow> noises =
        settings.phase ? std::vector<FactorRow>{} : noise_rows(facts, settings);
    for (const FactorRow& row : noises) section.table.rows.push_back(row_of(row));
    const std::size_t rows = section.table.rows.size();
    if (rows == 0) {
        section.lines.push_back("Nothing differed between these passages that is known of them.");
        return section;
    }
    section.lines.push_back(
        "Ratio: how many times as often vocal as the rest. What went together names no cause: look, change "
        "one "
        "thing, compare (`quietpass change`).");
    if (!noises.empty()) {
        section.lines.push_back(
            "Rows of a bang or a hiss count seconds: those in which a call began, of all from entry to stun; "
            "the "
            "rest are the other seconds.");
    }
    section.lines.push_back(
        fmt::format("Rows looked at: {}; by chance alone about 1 in 20 has p under 0.05.", rows));
    section.lines.push_back(kLotsCaution);
    return section;
}

} // namespace

bool are_edges(const std::vector<double>& edges) {
    const bool rising = std::adjacent_find(edges.begin(), edges.end(), std::greater_equal<>()) == edges.end();
    return rising && !edges.empty() && edges.front() > 0.0;
}

Statement factors_statement(const std::vector<PassageFacts>& facts, const FactorSettings& settings) {
    Statement statement;
    const auto scored = std::count_if(facts.begin(), facts.end(),
                                      [](const PassageFacts& passage) { return passage.scored(); });
    statement.figures = {{"passages", static_cast<std::int64_t>(facts.size())},
                         {"scored", static_cast<std::int64_t>(scored)},
                         {"phase", settings.phase ? Cell(std::string(name_of(*settings.phase))) : Cell()},
                         {"confidence", settings.confidence}};
    statement.sections = {phases_section(facts, settings), factors_section(facts, settings)};
    statement.csv_section = 1;
    return statement;
}

} // namespace quietpass
