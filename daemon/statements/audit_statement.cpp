#include "daemon/statements/audit_statement.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "daemon/records/row_reader.h"
#include "daemon/records/span_reader.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/figure_texts.h"

namespace quietpass {

namespace {

const std::vector<Column> kComparedColumns = {
    {"auditor", "auditor", 0, ShownTo::kAll, true},
    {"measure", "measure", 0},
    {"value", "value", 3},
    {"", "95 %", 0, ShownTo::kPeople},
    {"low", "", 4, ShownTo::kMachines},
    {"high", "", 4, ShownTo::kMachines},
    {"", "of", 0, ShownTo::kPeople},
    {"k", "", 0, ShownTo::kMachines},
    {"n", "", 0, ShownTo::kMachines},
};

std::vector<Cell> measure_row(const std::string& auditor, const std::string& measure,
                              const std::optional<double>& value, const std::optional<Interval>& interval,
                              const std::optional<evaluation::Rate>& of) {
    return {auditor,
            measure,
            cell_of(value),
            interval ? fmt::format("{:.3f} to {:.3f}", interval->low, interval->high) : std::string("-"),
            interval ? Cell(interval->low) : Cell(),
            interval ? Cell(interval->high) : Cell(),
            of ? counts_text(*of) : std::string(),
            of ? Cell(of->k) : Cell(),
            of ? Cell(of->n) : Cell()};
}

void add_rows(Table& table, const AuditFigures& figures, const std::string& auditor) {
    const evaluation::Confusion& c = figures.counts;
    const std::int64_t both = 2 * c.true_positives;
    const evaluation::Rate positive{both, both + c.false_positives + c.false_negatives};
    table.rows.push_back(
        measure_row(auditor, "agreement", c.agreement().value(), figures.agreement, c.agreement()));
    table.rows.push_back(measure_row(auditor, "kappa", c.kappa(), figures.kappa, std::nullopt));
    table.rows.push_back(measure_row(auditor, "pabak", c.pabak(), figures.pabak, std::nullopt));
    table.rows.push_back(measure_row(auditor, "positive_agreement", figures.positive_agreement,
                                     figures.positive_agreement_interval, positive));
    table.rows.push_back(
        measure_row(auditor, "sensitivity", c.sensitivity().value(), figures.sensitivity, c.sensitivity()));
    table.rows.push_back(
        measure_row(auditor, "specificity", c.specificity().value(), figures.specificity, c.specificity()));
}

std::string counts_words(const AuditFigures& figures, const std::string& auditor) {
    const evaluation::Confusion& c = figures.counts;
    return fmt::format(
        "{}: {} compared; vocal to both {}, to the person only {}, to the machine only {}, silent to "
        "both {}.",
        auditor, c.all(), c.true_positives, c.false_negatives, c.false_positives, c.true_negatives);
}

Section figures_section(const AuditComparison& comparison) {
    Section section{"figures", "Person against machine, for the same passages:", {kComparedColumns, {}}, {}};
    for (const AuditFigures& figures : comparison.figures) {
        const bool is_all = &figures == &comparison.figures.front();
        const std::string auditor = is_all ? "all" : figures.auditor.empty() ? "(unnamed)" : figures.auditor;
        add_rows(section.table, figures, auditor);
        section.lines.push_back(counts_words(figures, auditor));
    }
    std::string left_out;
    for (const auto& [reason, count] : comparison.left_out) {
        left_out += (left_out.empty() ? "" : ", ") + reason + " " + std::to_string(count);
    }
    if (!left_out.empty()) section.lines.push_back("Not compared: " + left_out + ".");
    if (comparison.clock_offset_s) {
        section.lines.push_back(
            fmt::format("The person's times are {:+.1f} s off the machine's entries (median).",
                        *comparison.clock_offset_s));
    }
    section.lines.push_back(
        "Sensitivity and specificity take the person as right. Kappa falls where few animals are vocal, at "
        "the same "
        "agreement: read PABAK and positive agreement beside it.");
    return section;
}

const std::vector<Column> kDifferenceColumns = {
    {"shift_id", "shift", 0},
    {"passage_id", "passage", 0},
    {"", "entered", 0, ShownTo::kPeople},
    {"entered", "", 0, ShownTo::kMachines},
    {"person", "person", 0},
    {"machine", "machine", 0},
    {"auditor", "auditor", 0, ShownTo::kAll, true},
    {"note", "note", 0, ShownTo::kAll, true},
};

// What to listen to again.
Section differences_section(const AuditComparison& comparison, const LocalTime& time) {
    Section section{"differences", "", {kDifferenceColumns, {}}, {}};
    for (const ComparedRow& row : comparison.rows) {
        if (!row.left_out.empty() || row.row.vocal == row.passage->passage.vocal) continue;
        const auto word = [](bool vocal) { return std::string(vocal ? "vocal" : "silent"); };
        section.table.rows.push_back(
            {row.passage->shift_id, row.passage->passage.id, entered_text(*row.passage, time),
             row.passage->entered_utc_ns ? Cell(utc_text(*row.passage->entered_utc_ns)) : Cell(),
             word(row.row.vocal), word(row.passage->passage.vocal), row.row.auditor, row.row.note});
    }
    section.heading = section.table.rows.empty() ? "They differ nowhere." : "Where they differ:";
    return section;
}

// Whether a time of these lies within a shift, or so little off that its animal may have been entered in it.
bool touches(const StoredShift& shift, const std::vector<std::int64_t>& sorted_ns, std::int64_t within_ns) {
    if (!shift.start_utc_ns) return false;
    const auto first = std::lower_bound(sorted_ns.begin(), sorted_ns.end(), *shift.start_utc_ns - within_ns);
    // A shift that goes on has no end yet.
    return first != sorted_ns.end() && (!shift.end_utc_ns || *first <= *shift.end_utc_ns + within_ns);
}

} // namespace

SpanRows audited_passages(SQLite::Database& database, const std::vector<HandAuditRow>& rows,
                          double entry_within_s) {
    std::set<std::int64_t> named;
    std::vector<std::int64_t> times_ns;
    for (const HandAuditRow& row : rows) {
        if (row.shift_id) named.insert(*row.shift_id);
        if (row.at_utc_ns) times_ns.push_back(*row.at_utc_ns);
    }
    std::sort(times_ns.begin(), times_ns.end());
    constexpr double kMost_s = 86400.0;
    const auto within_ns = static_cast<std::int64_t>(1e9 * std::min(entry_within_s, kMost_s));
    std::map<std::int64_t, StoredShift> shifts;
    if (!times_ns.empty()) {
        for (StoredShift& shift :
             read_shifts_between(database, times_ns.front() - within_ns, times_ns.back() + within_ns + 1)) {
            if (touches(shift, times_ns, within_ns)) shifts.emplace(shift.shift_id, std::move(shift));
        }
    }
    for (const std::int64_t id : named) {
        if (auto shift = read_stored_shift(database, id)) shifts.emplace(id, std::move(*shift));
    }
    SpanRows found;
    for (const auto& [id, shift] : shifts) {
        SpanRows of_shift = read_passages_of(database, shift, SpanDetail::kPassages);
        found.shifts.push_back(shift);
        std::move(of_shift.passages.begin(), of_shift.passages.end(), std::back_inserter(found.passages));
    }
    return found;
}

Statement audit_statement(const std::vector<HandAuditRow>& rows, const SpanRows& machine,
                          double entry_within_s, const LocalTime& time) {
    const AuditComparison comparison = compare_audit(rows, machine, entry_within_s);
    const evaluation::Confusion& all = comparison.figures.front().counts;
    Statement statement;
    statement.figures = {{"rows", static_cast<std::int64_t>(rows.size())},
                         {"compared", all.all()},
                         {"vocal_to_both", all.true_positives},
                         {"vocal_to_person_only", all.false_negatives},
                         {"vocal_to_machine_only", all.false_positives},
                         {"silent_to_both", all.true_negatives},
                         {"clock_offset_s", cell_of(comparison.clock_offset_s)},
                         {"entry_within_s", entry_within_s}};
    statement.sections = {figures_section(comparison), differences_section(comparison, time)};
    return statement;
}

} // namespace quietpass
