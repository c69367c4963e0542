#include <fmt/format.h>

#include <algorithm>

#include "daemon/audits/audit_comparison.h"
#include "daemon/audits/hand_audits_in_force.h"
#include "daemon/commands/figure_texts.h"
#include "daemon/commands/handaudit_command.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct CompareOptions {
    RecordsOptions records;
    std::int64_t id = 0; // 0: all in force
    double entry_within_s = 10.0;
};

const std::vector<Column> kColumns = {
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
    Section section{"figures", "Person against machine, for the same passages:", {kColumns, {}}, {}};
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

void compare_audits(const CompareOptions& options) {
    OpenRecords records("handaudit compare", options.records.records);
    std::vector<HandAuditRow> rows;
    for (const HandAudit& audit : hand_audits_in_force(records.store().hand_audits())) {
        if (options.id == 0 || audit.id == options.id)
            rows.insert(rows.end(), audit.rows.begin(), audit.rows.end());
    }
    if (rows.empty()) records.fail("no such audit is in force; add one with `handaudit add`");
    const AuditComparison comparison =
        compare_audit(rows, records.store().read_span({}), options.entry_within_s);
    const evaluation::Confusion& all = comparison.figures.front().counts;
    Statement statement;
    statement.figures = {{"rows", static_cast<std::int64_t>(rows.size())},
                         {"compared", all.all()},
                         {"vocal_to_both", all.true_positives},
                         {"vocal_to_person_only", all.false_negatives},
                         {"vocal_to_machine_only", all.false_positives},
                         {"silent_to_both", all.true_negatives},
                         {"clock_offset_s", cell_of(comparison.clock_offset_s)},
                         {"entry_within_s", options.entry_within_s}};
    statement.sections = {figures_section(comparison), differences_section(comparison, records.time())};
    print(statement, options.records.output());
}

} // namespace

void add_handaudit_compare(CLI::App& command) {
    const auto options = std::make_shared<CompareOptions>();
    CLI::App* compare_app = command.add_subcommand("compare", "Agreement of person and machine");
    add_records(*compare_app, options->records);
    compare_app->add_option("id", options->id, "One audit; without it all in force");
    compare_app
        ->add_option("--entry-within", options->entry_within_s,
                     "Most seconds between the person's and the machine's\ntime of one entry")
        ->check(CLI::PositiveNumber)
        ->capture_default_str();
    add_output(*compare_app, options->records);
    compare_app->callback([options] { compare_audits(*options); });
}

} // namespace quietpass
