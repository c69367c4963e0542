#include "daemon/commands/case_listing.h"

#include <memory>

#include "daemon/commands/records_options.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

struct ListingOptions {
    RecordsOptions records;
    bool all = false;
    std::int64_t id = 0;
};

Cell moment(const std::optional<std::int64_t>& utc_ns) {
    return utc_ns ? Cell(utc_text(*utc_ns)) : Cell();
}

std::string local(const OpenRecords& records, const std::optional<std::int64_t>& utc_ns) {
    return utc_ns ? records.time().text(*utc_ns) : std::string();
}

const std::vector<Column> kCaseColumns = {
    {"case_id", "case", 0},
    {"reference", "reference", 0, ShownTo::kAll, true},
    {"asked_by", "asked by", 0, ShownTo::kAll, true},
    {"", "from", 0, ShownTo::kPeople},
    {"from", "", 0, ShownTo::kMachines},
    {"to", "", 0, ShownTo::kMachines},
    {"state", "state", 0},
    {"passages", "passages", 0},
    {"clips", "clips", 0},
    {"held", "", 0, ShownTo::kMachines},
    {"exports", "", 0, ShownTo::kMachines},
    {"decision", "", 0, ShownTo::kMachines},
    {"entered_by", "", 0, ShownTo::kMachines},
    {"opened", "", 0, ShownTo::kMachines},
    {"note", "", 0, ShownTo::kMachines},
};

std::vector<Cell> row_of(const OpenRecords& records, const CaseFile& file, std::size_t held) {
    const CaseState state = state_of(file);
    return {file.id,
            file.reference,
            file.asked_by,
            local(records, file.from_utc_ns),
            moment(file.from_utc_ns),
            moment(file.to_utc_ns),
            std::string(state.open ? "open" : "closed"),
            static_cast<std::int64_t>(state.passages.size()),
            static_cast<std::int64_t>(state.clips.size()),
            static_cast<std::int64_t>(held),
            state.exports,
            state.decision,
            file.by,
            utc_text(file.utc_ns),
            file.note};
}

void list(const ListingOptions& options) {
    OpenRecords records("case list", options.records.records);
    Section section{"cases", "", {kCaseColumns, {}}, {}};
    records.store().read([&](SQLite::Database& database) {
        for (const CaseFile& file : read_cases(database)) {
            if (!options.all && !state_of(file).open) continue;
            section.table.rows.push_back(row_of(records, file, clips_held_by(database, file.id).size()));
        }
    });
    if (section.table.rows.empty())
        section.lines.push_back(options.all ? "There are none." : "None is open.");
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

std::string what_of(const CaseEvent& event) {
    const auto number = [](const char* word, const std::optional<std::int64_t>& id) {
        return id ? std::string(word) + " " + std::to_string(*id) + " " : std::string();
    };
    return number("clip", event.clip_id) + number("call", event.call_id) +
           number("passage", event.passage_id) + (event.clip_id ? "" : number("of shift", event.shift_id)) +
           event.text;
}

// Text lists single steps; what `gather` added in one go is one line of it.
void add_events(Section& section, const OpenRecords& records, const CaseFile& file, bool for_people) {
    for (std::size_t i = 0; i < file.events.size(); ++i) {
        const CaseEvent& event = file.events[i];
        std::size_t same = i + 1;
        while (for_people && event.event == "added" && same < file.events.size() &&
               file.events[same].event == "added" && file.events[same].by == event.by) {
            ++same;
        }
        std::string what = what_of(event);
        if (same > i + 1) what += "and " + std::to_string(same - i - 1) + " more";
        section.table.rows.push_back({local(records, event.utc_ns), utc_text(event.utc_ns), event.event, what,
                                      event.text, cell_of(event.shift_id), cell_of(event.passage_id),
                                      cell_of(event.call_id), cell_of(event.clip_id), event.by});
        i = same - 1;
    }
}

const std::vector<Column> kEventColumns = {
    {"", "when", 0, ShownTo::kPeople},
    {"utc", "", 0, ShownTo::kMachines},
    {"event", "event", 0},
    {"", "what", 0, ShownTo::kPeople, true},
    {"text", "", 0, ShownTo::kMachines},
    {"shift_id", "", 0, ShownTo::kMachines},
    {"passage_id", "", 0, ShownTo::kMachines},
    {"call_id", "", 0, ShownTo::kMachines},
    {"clip_id", "", 0, ShownTo::kMachines},
    {"entered_by", "by", 0, ShownTo::kAll, true},
};

void show(const ListingOptions& options) {
    OpenRecords records("case show", options.records.records);
    std::optional<CaseFile> file;
    std::vector<std::int64_t> held;
    records.store().read([&](SQLite::Database& database) {
        file = read_case(database, options.id);
        held = clips_held_by(database, options.id);
    });
    if (!file) records.fail(std::to_string(options.id) + ": no such case; see `quietpass case list`");
    const CaseState state = state_of(*file);
    Section section{
        "events", "Case " + std::to_string(file->id) + ", " + file->reference, {kEventColumns, {}}, {}};
    const bool for_people = options.records.output() == Output::kText;
    add_events(section, records, *file, for_people);
    section.lines = {"Asked by " + file->asked_by + "; opened by " + file->by + " on " +
                         local(records, file->utc_ns) + "; " + (state.open ? "open." : "closed."),
                     file->note.empty() ? "No note." : "About: " + file->note,
                     std::to_string(state.passages.size()) + " passages, " +
                         std::to_string(state.calls.size()) + " calls, " +
                         std::to_string(state.clips.size()) + " clips, " + std::to_string(held.size()) +
                         " held; exported " + std::to_string(state.exports) + " times.",
                     "Decision: " + (state.decision.empty() ? "none yet." : state.decision)};
    Statement statement;
    const std::vector<Cell> row = row_of(records, *file, held.size());
    for (std::size_t i = 0; i < kCaseColumns.size(); ++i) {
        if (!kCaseColumns[i].key.empty()) statement.figures.push_back({kCaseColumns[i].key, row[i]});
    }
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

} // namespace

void add_case_listing(CLI::App& command) {
    const auto listed = std::make_shared<ListingOptions>();
    CLI::App* list_app = command.add_subcommand("list", "List the open ones");
    add_records(*list_app, listed->records);
    list_app->add_flag("--all", listed->all, "Closed ones too");
    add_output(*list_app, listed->records);
    list_app->callback([listed] { list(*listed); });

    const auto shown = std::make_shared<ListingOptions>();
    CLI::App* show_app = command.add_subcommand("show", "All of one, step by step");
    show_app->add_option("case", shown->id, "Its number")->required()->check(CLI::PositiveNumber);
    add_records(*show_app, shown->records);
    add_output(*show_app, shown->records);
    show_app->callback([shown] { show(*shown); });
}

} // namespace quietpass
