#include "daemon/commands/journal_commands.h"

#include <cstdio>

#include "classifiers/one_line.h"
#include "daemon/clock.h"
#include "daemon/commands/lot_figures_command.h"
#include "daemon/commands/records_options.h"
#include "daemon/failure.h"
#include "daemon/journal/enter_entries.h"
#include "daemon/journal/journal.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct EntryOptions {
    RecordsOptions records;
    std::string at;
    std::string until;
    std::string text;
    std::string station_part;
    std::string by;
    std::int64_t id = 0;
};

// "lot_end" is a lot's business too.
std::string command_of(EntryKind kind) {
    return std::string(name_of(kind == EntryKind::kLotEnd ? EntryKind::kLot : kind));
}

void add(const EntryOptions& options, EntryKind kind) {
    OpenRecords records(command_of(kind) + (kind == EntryKind::kLotEnd ? " end" : " add"),
                        options.records.records, RecordsAccess::kWriting);
    JournalEntry entry;
    entry.kind = kind;
    entry.added_utc_ns = RealClock().utc_ns();
    entry.at_utc_ns = options.at.empty() ? entry.added_utc_ns : records.moment("--at", options.at);
    if (!options.until.empty()) entry.until_utc_ns = records.moment("--until", options.until);
    entry.text = options.text;
    entry.station_part = options.station_part;
    entry.by = options.by;
    std::int64_t id = 0;
    records.store().change([&](SQLite::Database& database) {
        try {
            id = enter_entry(database, entry, "--until");
        } catch (const Failure& failure) {
            records.fail(failure.what());
        }
    });
    std::printf("%s %lld, from %s (%s)%s%s\n", command_of(kind).c_str(), static_cast<long long>(id),
                records.time().text(entry.at_utc_ns).c_str(), records.time().timezone().c_str(),
                entry.text.empty() ? ": ends" : ": ", in_one_line(entry.text).c_str());
    std::fflush(stdout);
}

void withdraw(const EntryOptions& options, EntryKind kind) {
    OpenRecords records(command_of(kind) + " withdraw", options.records.records, RecordsAccess::kWriting);
    std::optional<JournalEntry> entry;
    records.store().change([&](SQLite::Database& database) {
        entry = withdraw_entry(database, kind, options.id, options.by, RealClock().utc_ns());
    });
    if (!entry) {
        records.fail(std::to_string(options.id) + ": no such " + command_of(kind) + " is in force; see `" +
                     command_of(kind) + " list`");
    }
    std::printf("%s %lld is withdrawn; its row stays in the store\n", command_of(kind).c_str(),
                static_cast<long long>(options.id));
    std::fflush(stdout);
}

const std::vector<Column> kEntryColumns = {
    {"entry_id", "id", 0},
    {"kind", "", 0, ShownTo::kMachines},
    {"", "from", 0, ShownTo::kPeople},
    {"at", "", 0, ShownTo::kMachines},
    {"", "until", 0, ShownTo::kPeople},
    {"until", "", 0, ShownTo::kMachines},
    {"text", "what", 0, ShownTo::kAll, true},
    {"station_part", "where", 0, ShownTo::kAll, true},
    {"entered_by", "by", 0, ShownTo::kAll, true},
    {"added", "", 0, ShownTo::kMachines},
};

void list(const EntryOptions& options, EntryKind kind) {
    OpenRecords records(command_of(kind) + " list", options.records.records);
    const Journal journal(records.store().journal());
    Section section{command_of(kind) + "s", "", {kEntryColumns, {}}, {}};
    for (const JournalEntry& entry : kind == EntryKind::kLot ? journal.lots() : journal.of_kind(kind)) {
        const std::optional<std::int64_t>& until = entry.until_utc_ns;
        section.table.rows.push_back({entry.id, std::string(name_of(entry.kind)),
                                      records.time().text(entry.at_utc_ns), utc_text(entry.at_utc_ns),
                                      until ? records.time().text(*until) : std::string(),
                                      until ? Cell(utc_text(*until)) : Cell(),
                                      entry.kind == EntryKind::kLotEnd ? "(no lot)" : entry.text,
                                      entry.station_part, entry.by, utc_text(entry.added_utc_ns)});
    }
    if (section.table.rows.empty()) section.lines.push_back("There are none.");
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

CLI::App* sub(CLI::App& command, const std::string& name, const std::string& what,
              const std::shared_ptr<EntryOptions>& options) {
    CLI::App* app = command.add_subcommand(name, what);
    add_records(*app, options->records);
    return app;
}

} // namespace

void add_entry_commands(CLI::App& command, EntryKind kind) {
    const std::string word = command_of(kind);
    const auto added = std::make_shared<EntryOptions>();
    CLI::App* add_app = sub(command, "add", "Add one", added);
    add_app->add_option("--at", added->at,
                        "From when on, as \"2026-03-02 06:00\" (the station's time)\n"
                        "or 2026-03-02T13:00:00Z; without it now");
    if (kind == EntryKind::kNote) {
        add_app->add_option("--until", added->until, "Up to when; without it the end of that shift");
    }
    if (kind == EntryKind::kChange) {
        add_app->add_option("--what", added->text, "What was altered")->required();
        add_app->add_option("--station-part", added->station_part, "Where: light, floor, head holder …");
    } else {
        add_app
            ->add_option(kind == EntryKind::kLot ? "name" : "text", added->text,
                         kind == EntryKind::kLot ? "The lot's name" : "The note")
            ->required();
    }
    add_app->add_option("--by", added->by, "Who says so");
    add_app->callback([added, kind] { add(*added, kind); });

    const auto listed = std::make_shared<EntryOptions>();
    CLI::App* list_app = sub(command, "list", "List those in force", listed);
    add_output(*list_app, listed->records);
    list_app->callback([listed, kind] { list(*listed, kind); });

    const auto withdrawn = std::make_shared<EntryOptions>();
    CLI::App* withdraw_app = sub(command, "withdraw", "Take back a wrong one; its row stays", withdrawn);
    withdraw_app->add_option("id", withdrawn->id, "Its number in the list")->required();
    withdraw_app->add_option("--by", withdrawn->by, "Who says so");
    withdraw_app->callback([withdrawn, kind] { withdraw(*withdrawn, kind); });
    command.require_subcommand(1);
}

void add_lot(CLI::App& app) {
    CLI::App* command = app.add_subcommand("lot", "Lots of animals, and the figures lot by lot");
    add_entry_commands(*command, EntryKind::kLot);

    const auto ended = std::make_shared<EntryOptions>();
    CLI::App* end_app = sub(*command, "end", "From here on no lot, until the next", ended);
    end_app->add_option("--at", ended->at, "From when on; without it now");
    end_app->add_option("--by", ended->by, "Who says so");
    end_app->callback([ended] { add(*ended, EntryKind::kLotEnd); });

    add_lot_figures(*command);
}

void add_note(CLI::App& app) {
    CLI::App* command = app.add_subcommand("note", "Notes that hold for a while: weather, staff, a trial");
    add_entry_commands(*command, EntryKind::kNote);
}

} // namespace quietpass
