#include "daemon/commands/factors_command.h"

#include <memory>

#include "daemon/commands/records_options.h"
#include "daemon/statements/factors_statement.h"
#include "daemon/statements/span_facts.h"

namespace quietpass {

namespace {

struct FactorsOptions {
    RecordsOptions records;
    std::string phase;
    FactorSettings settings;
};

void check_edges(const OpenRecords& records, const std::string& option, const std::vector<double>& edges) {
    if (!are_edges(edges)) records.fail(option + ": expected " + kEdgesExpected);
}

void show_factors(FactorsOptions& options) {
    OpenRecords records("factors", options.records.records);
    check_edges(records, "--hold-bands", options.settings.hold_edges_s);
    check_edges(records, "--rate-bands", options.settings.rate_edges_per_hour);
    for (const Phase phase : kCountedPhases) {
        if (name_of(phase) == options.phase) options.settings.phase = phase;
    }
    const RecordSpan span = records.span(options.records);
    std::vector<PassageFacts> facts;
    records.store().read([&](SQLite::Database& database) { facts = read_facts(database, span); });
    print(factors_statement(facts, options.settings), options.records.output());
}

} // namespace

void add_factors(CLI::App& app) {
    const auto options = std::make_shared<FactorsOptions>();
    CLI::App* command = app.add_subcommand("factors", "What goes with the calls, over any span of passages");
    add_records(*command, options->records);
    add_span(*command, options->records);
    command->add_option("--phase", options->phase, "Only calls in this phase make an animal vocal")
        ->check(CLI::IsMember({"entry", "body_held", "held", "at_stun"}));
    command
        ->add_option("--hold-bands", options->settings.hold_edges_s,
                     "Edges of bands of the hold time, seconds; 5,10,20,40 is\n"
                     "common practice")
        ->delimiter(',');
    command
        ->add_option("--rate-bands", options->settings.rate_edges_per_hour,
                     "Edges of bands of the line rate, animals an hour;\n"
                     "50,75,100,150,200 is common practice")
        ->delimiter(',');
    command->add_option("--bang-over", options->settings.least_bang_db,
                        "Only bangs this loud, dB as of calls; without it all heard");
    command->add_option("--hiss-over", options->settings.least_hiss_db,
                        "Only hisses this loud; without it all heard");
    add_output(*command, options->records);
    command->footer("Nothing here is a cause: it is what went together. Common practice says where to look.");
    command->callback([options] { show_factors(*options); });
}

} // namespace quietpass
