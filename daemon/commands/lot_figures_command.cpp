#include "daemon/commands/lot_figures_command.h"

#include <memory>

#include "daemon/commands/records_options.h"
#include "daemon/statements/lot_statement.h"
#include "daemon/statements/span_facts.h"

namespace quietpass {

namespace {

void show_figures(const RecordsOptions& options) {
    OpenRecords records("lot figures", options.records);
    const RecordSpan span = records.span(options);
    std::vector<PassageFacts> facts;
    records.store().read(
        [&](SQLite::Database& database) { facts = read_facts(database, span, SpanDetail::kPassages); });
    print(lot_statement(facts, records.time()), options.output());
}

} // namespace

void add_lot_figures(CLI::App& lot) {
    const auto figures = std::make_shared<RecordsOptions>();
    CLI::App* figures_app = lot.add_subcommand("figures", "Shares vocal lot by lot");
    add_records(*figures_app, *figures);
    add_span(*figures_app, *figures);
    add_output(*figures_app, *figures);
    figures_app->callback([figures] { show_figures(*figures); });
}

} // namespace quietpass
