#include "daemon/commands/finding_command.h"

#include <algorithm>
#include <cstdio>
#include <memory>

#include "daemon/clock.h"
#include "daemon/commands/finding_listing.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/finding.h"
#include "daemon/review/enter_findings.h"

namespace quietpass {

namespace {

struct FindingOptions {
    std::string records;
    std::int64_t shift = 0;
    std::vector<std::int64_t> calls;
    std::string verdict;
    std::string just_before;
    std::string note;
    std::string by;
    std::int64_t id = 0;
};

template <typename Names>
std::vector<std::string> words_of(const Names& names) {
    return {names.begin(), names.end()};
}

std::string amended_words(std::int64_t shift, const std::optional<std::int64_t>& amendment) {
    const std::string of = "shift " + std::to_string(shift);
    if (!amendment) return of + " is open: no amendment";
    return of + " amended, number " + std::to_string(*amendment);
}

void add(const FindingOptions& options) {
    OpenRecords records("finding add", options.records, RecordsAccess::kWriting);
    Finding finding;
    finding.shift_id = options.shift;
    finding.verdict = *call_verdict_named(options.verdict);
    finding.just_before = just_before_named(options.just_before);
    finding.note = options.note;
    finding.by = options.by;
    finding.utc_ns = RealClock().utc_ns();
    std::vector<Finding> findings;
    for (const std::int64_t call : options.calls) {
        findings.push_back(finding);
        findings.back().call_id = call;
    }
    const EnteredFindings entered = enter_findings(records.store(), findings);
    for (std::size_t i = 0; i < entered.ids.size(); ++i) {
        std::printf("finding %lld: call %lld is %s\n", static_cast<long long>(entered.ids[i]),
                    static_cast<long long>(options.calls[i]), options.verdict.c_str());
    }
    std::printf("%s\n", amended_words(options.shift, entered.amendment).c_str());
}

void withdraw(const FindingOptions& options) {
    OpenRecords records("finding withdraw", options.records, RecordsAccess::kWriting);
    const EnteredFindings entered =
        withdraw_finding(records.store(), options.id, options.by, RealClock().utc_ns());
    std::printf("finding %lld is withdrawn; its row stays in the store%s\n",
                static_cast<long long>(options.id),
                entered.amendment ? (", amendment " + std::to_string(*entered.amendment)).c_str() : "");
}

void amend(const FindingOptions& options) {
    OpenRecords records("finding amend", options.records, RecordsAccess::kWriting);
    const std::int64_t number = amend_shift(records.store(), options.shift, options.by, RealClock().utc_ns());
    std::printf("%s\n", amended_words(options.shift, number).c_str());
}

void add_by(CLI::App& command, FindingOptions& options) {
    command.add_option("--by", options.by, "Who found it")->required();
}

CLI::App* sub(CLI::App& command, const char* name, const char* what,
              const std::shared_ptr<FindingOptions>& options, void (*work)(const FindingOptions&)) {
    CLI::App* app = command.add_subcommand(name, what);
    app->add_option("--out,--records", options->records, "Folder that `run` wrote to, or the store in it")
        ->required();
    add_by(*app, *options);
    app->callback([options, work] { work(*options); });
    return app;
}

} // namespace

void add_finding_command(CLI::App& app) {
    CLI::App* command = app.add_subcommand("finding", "What people found on hearing calls");
    command->require_subcommand(1);
    command->footer(
        "A finding stands beside the machine's word, never over it. After a shift was\n"
        "closed each finding gives an amendment with both figures.");
    const auto added = std::make_shared<FindingOptions>();
    CLI::App* add_app = sub(*command, "add", "Say what calls were", added, add);
    add_app->add_option("--shift", added->shift, "The shift's number")
        ->required()
        ->check(CLI::PositiveNumber);
    add_app->add_option("--call", added->calls, "The call's number in the shift. Repeatable")
        ->required()
        ->check(CLI::PositiveNumber);
    add_app
        ->add_option("--verdict", added->verdict,
                     "call, not_a_call, other_species, person,\n"
                     "cannot_tell")
        ->required()
        ->check(CLI::IsMember(words_of(kCallVerdictNames)));
    add_app
        ->add_option("--just-before", added->just_before,
                     "What happened just before: prod, slip, pressure,\n"
                     "edge, held_long, missed_stun, alone, unknown")
        ->check(CLI::IsMember(words_of(kJustBeforeNames)))
        ->option_text("WORD");
    add_app->add_option("--note", added->note, "Free text");

    const auto withdrawn = std::make_shared<FindingOptions>();
    sub(*command, "withdraw", "Take back a wrong one; its row stays", withdrawn, withdraw)
        ->add_option("id", withdrawn->id, "Its number in the list")
        ->required();

    const auto amended = std::make_shared<FindingOptions>();
    CLI::App* amend_app =
        sub(*command, "amend", "Amend a closed shift by findings from before it was closed", amended, amend);
    amend_app->add_option("--shift", amended->shift, "The shift's number")
        ->required()
        ->check(CLI::PositiveNumber);

    add_finding_listing(*command);
}

} // namespace quietpass
