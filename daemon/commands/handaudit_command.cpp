#include "daemon/commands/handaudit_command.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>

#include "daemon/audits/enter_audit.h"
#include "daemon/audits/hand_audit_csv.h"
#include "daemon/audits/hand_audits_in_force.h"
#include "daemon/clock.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct AuditOptions {
    RecordsOptions records;
    std::string file;
    std::int64_t id = 0;
};

void add_audit(const AuditOptions& options) {
    OpenRecords records("handaudit add", options.records.records, RecordsAccess::kWriting);
    HandAudit audit;
    audit.rows = read_hand_audit(options.file, records.store().read_span({}), records.time());
    audit.added_utc_ns = RealClock().utc_ns();
    audit.file = std::filesystem::path(options.file).filename().string();
    audit.sha256 = sha256_hex_of_file(options.file);
    for (const HandAudit& known : hand_audits_in_force(records.store().hand_audits())) {
        if (known.sha256 == audit.sha256) {
            records.fail(options.file + ": is there already, as audit " + std::to_string(known.id));
        }
    }
    const std::int64_t id = records.store().add(audit);
    const auto vocal = std::count_if(audit.rows.begin(), audit.rows.end(),
                                     [](const HandAuditRow& row) { return row.vocal; });
    std::printf("audit %lld: %zu animals, %lld vocal\n", static_cast<long long>(id), audit.rows.size(),
                static_cast<long long>(vocal));
    std::fflush(stdout);
}

void withdraw(const AuditOptions& options) {
    OpenRecords records("handaudit withdraw", options.records.records, RecordsAccess::kWriting);
    records.store().change([&](SQLite::Database& database) {
        try {
            withdraw_audit(database, options.id, "", RealClock().utc_ns());
        } catch (const AuditRefused&) {
            records.fail(std::to_string(options.id) + ": no such audit is in force; see `handaudit list`");
        }
    });
    std::printf("audit %lld is withdrawn; its rows stay in the store\n", static_cast<long long>(options.id));
    std::fflush(stdout);
}

const std::vector<Column> kAuditColumns = {
    {"audit_id", "id", 0},
    {"", "added", 0, ShownTo::kPeople},
    {"added", "", 0, ShownTo::kMachines},
    {"animals", "animals", 0},
    {"vocal", "vocal", 0},
    {"auditors", "auditors", 0, ShownTo::kAll, true},
    {"file", "file", 0, ShownTo::kAll, true},
    {"sha256", "", 0, ShownTo::kMachines},
};

std::string auditors_of(const HandAudit& audit) {
    std::vector<std::string> names;
    for (const HandAuditRow& row : audit.rows) {
        if (std::find(names.begin(), names.end(), row.auditor) == names.end()) names.push_back(row.auditor);
    }
    std::string out;
    for (const std::string& name : names) out += (out.empty() ? "" : ";") + name;
    return out;
}

void list_audits(const AuditOptions& options) {
    OpenRecords records("handaudit list", options.records.records);
    Section section{"audits", "", {kAuditColumns, {}}, {}};
    for (const HandAudit& audit : hand_audits_in_force(records.store().hand_audits())) {
        const auto vocal = std::count_if(audit.rows.begin(), audit.rows.end(),
                                         [](const HandAuditRow& row) { return row.vocal; });
        section.table.rows.push_back(
            {audit.id, records.time().text(audit.added_utc_ns), utc_text(audit.added_utc_ns),
             static_cast<std::int64_t>(audit.rows.size()), static_cast<std::int64_t>(vocal),
             auditors_of(audit), audit.file, audit.sha256});
    }
    if (section.table.rows.empty()) section.lines.push_back("There are none.");
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

} // namespace

void add_handaudit(CLI::App& app) {
    CLI::App* command = app.add_subcommand("handaudit", "Samples scored by a person, against the machine");
    command->require_subcommand(1);

    const auto added = std::make_shared<AuditOptions>();
    CLI::App* add_app = command->add_subcommand("add", "Keep a sample that a person scored");
    add_records(*add_app, added->records);
    add_app->add_option("file", added->file, "CSV: passage (and shift) or time; vocal; auditor; note")
        ->required();
    add_app->footer(
        "`vocal` is vocal or silent; `passage` and `shift` are the numbers that\n"
        "`quietpass passages` lists; `time` is when the animal entered.");
    add_app->callback([added] { add_audit(*added); });

    const auto listed = std::make_shared<AuditOptions>();
    CLI::App* list_app = command->add_subcommand("list", "List the audits in force");
    add_records(*list_app, listed->records);
    add_output(*list_app, listed->records);
    list_app->callback([listed] { list_audits(*listed); });

    const auto withdrawn = std::make_shared<AuditOptions>();
    CLI::App* withdraw_app = command->add_subcommand("withdraw", "Take back a wrong one; its rows stay");
    add_records(*withdraw_app, withdrawn->records);
    withdraw_app->add_option("id", withdrawn->id, "Its number in the list")->required();
    withdraw_app->callback([withdrawn] { withdraw(*withdrawn); });

    add_handaudit_compare(*command);
    add_handaudit_sample(*command);
}

} // namespace quietpass
