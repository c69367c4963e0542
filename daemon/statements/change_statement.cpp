#include "daemon/statements/change_statement.h"

#include "daemon/records/people_rows.h"
#include "daemon/records/span_reader.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/change_sections.h"
#include "daemon/statements/window_rows.h"

namespace quietpass {

namespace {

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

std::vector<PassageFacts> facts_in(SQLite::Database& database, const Journal& journal,
                                   const RecordSpan& span) {
    return facts_of(read_span_within(database, span, SpanDetail::kPassages), journal, {});
}

} // namespace

std::optional<ComparedChange> change_statement(SQLite::Database& database, const ChangeWish& wish,
                                               const LocalTime& time) {
    const Journal journal(read_journal(database));
    const std::optional<JournalEntry> change = journal.entry(wish.change_id);
    if (!change || change->kind != EntryKind::kChange) return std::nullopt;
    const std::int64_t at = change->at_utc_ns;
    ComparedChange found;
    found.before =
        entered_before(facts_in(database, journal, span_before(database, at, wish.before)), at, wish.before);
    found.after =
        entered_after(facts_in(database, journal, span_after(database, at, wish.after)), at, wish.after);
    const ChangeSide before{scored_of(found.before)};
    const ChangeSide after{scored_of(found.after)};

    ComparisonWish compared;
    compared.showing = {wish.level, wish.power_percent / 100.0};
    if (wish.hoped_percent) compared.hoped_share = *wish.hoped_percent / 100.0;
    const Comparison comparison = compare(before.compared(), after.compared(), compared);

    Statement& statement = found.statement;
    statement.figures = {{"change_id", change->id},
                         {"at", utc_text(at)},
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
        {"level", wish.level},
        {"shown", difference ? Cell(comparison.shown) : Cell()},
        {"hoped_percent", percent_cell(comparison.hoped_share)},
        {"power", wish.power_percent / 100.0},
        {"needed_each", cell_of(comparison.needed_each)},
        {"needed_more_after", cell_of(comparison.needed_more_after)}};
    statement.figures.insert(statement.figures.end(), more.begin(), more.end());
    Section sides = sides_section(*change, comparison, before, after, time);
    for (const std::string& line : other_changes(journal, change->id, before, after, time)) {
        sides.lines.push_back(line);
    }
    statement.sections = {
        sides, chart_section(run_chart(before.charted(), after.charted(), wish.group), wish.group, time)};
    statement.csv_section = 1;
    return found;
}

} // namespace quietpass
