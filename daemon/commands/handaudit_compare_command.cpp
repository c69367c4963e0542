#include "daemon/audits/hand_audits_in_force.h"
#include "daemon/commands/handaudit_command.h"
#include "daemon/commands/records_options.h"
#include "daemon/statements/audit_statement.h"

namespace quietpass {

namespace {

struct CompareOptions {
    RecordsOptions records;
    std::int64_t id = 0; // 0: all in force
    double entry_within_s = kUsualEntryWithin_s;
};

void compare_audits(const CompareOptions& options) {
    OpenRecords records("handaudit compare", options.records.records);
    std::vector<HandAuditRow> rows;
    for (const HandAudit& audit : hand_audits_in_force(records.store().hand_audits())) {
        if (options.id == 0 || audit.id == options.id)
            rows.insert(rows.end(), audit.rows.begin(), audit.rows.end());
    }
    if (rows.empty()) records.fail("no such audit is in force; add one with `handaudit add`");
    SpanRows machine;
    records.store().read([&](SQLite::Database& database) {
        machine = audited_passages(database, rows, options.entry_within_s);
    });
    print(audit_statement(rows, machine, options.entry_within_s, records.time()), options.records.output());
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
