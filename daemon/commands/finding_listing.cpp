#include "daemon/commands/finding_listing.h"

#include <map>
#include <memory>
#include <set>

#include "daemon/commands/records_options.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/finding_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/review/findings_in_force.h"
#include "daemon/review/reviewed_figures.h"

namespace quietpass {

namespace {

struct ListingOptions {
    RecordsOptions records;
    bool all = false;
    bool for_tune = false;
};

std::vector<Finding> findings_of(OpenRecords& records, const RecordsOptions& options) {
    const RecordSpan span = records.span(options);
    std::vector<Finding> findings;
    records.store().read(
        [&](SQLite::Database& database) { findings = read_findings(database, span.shift_id); });
    return findings;
}

// The calls of shifts, each shift read once.
class Calls {
  public:
    explicit Calls(const Store& store) : store_(store) {}

    const StationCall* find(std::int64_t shift_id, std::int64_t call_id) {
        const auto [place, fresh] = shifts_.try_emplace(shift_id);
        if (fresh) {
            if (auto rows = store_.read_shift(shift_id)) place->second = std::move(rows->calls);
        }
        for (const StationCall& call : place->second) {
            if (call.id == call_id) return &call;
        }
        return nullptr;
    }

  private:
    const Store& store_;
    std::map<std::int64_t, std::vector<StationCall>> shifts_;
};

const std::vector<Column> kFindingColumns = {
    {"finding_id", "id", 0},
    {"", "call", 0, ShownTo::kPeople}, // of a shift: "3/17"
    {"shift_id", "", 0, ShownTo::kMachines},
    {"call_id", "", 0, ShownTo::kMachines},
    {"passage_id", "passage", 0},
    {"", "verdict", 0, ShownTo::kPeople},
    {"verdict", "", 0, ShownTo::kMachines},
    {"just_before", "before it", 0},
    {"note", "note", 0, ShownTo::kAll, true},
    {"entered_by", "by", 0, ShownTo::kAll, true},
    {"", "day", 0, ShownTo::kPeople},
    {"utc", "", 0, ShownTo::kMachines},
    {"withdrawn", "", 0, ShownTo::kMachines},
};

// What `tune --findings` takes for it; empty: nothing.
std::string tune_word(const Finding& finding, const StationCall& call) {
    if (finding.verdict == CallVerdict::kCannotTell) return "unsure";
    if (finding.verdict != CallVerdict::kCall) return "not_call";
    return call.heard.kind == CallKind::kGrunt ? "grunt" : "call";
}

void list_for_tune(OpenRecords& records, const std::vector<Finding>& findings) {
    std::vector<StoredClip> clips;
    records.store().read([&](SQLite::Database& database) { clips = read_clips(database, {}); });
    const std::filesystem::path folder = std::filesystem::absolute(records.store().file()).parent_path();
    Calls calls(records.store());
    std::string out = "file,start_s,end_s,finding,recording\n";
    for (const auto& [key, review] : reviews_of(findings)) {
        const StationCall* call = calls.find(key.first, key.second);
        for (const StoredClip& stored : clips) {
            const ClipRow& clip = stored.row;
            if (call == nullptr || clip.call_id != key.second || clip.shift_id != key.first) continue;
            CsvLine line;
            line.text((folder / clip.file).string());
            line.number(call->heard.start_s - clip.start_s, 3).number(call->heard.end_s - clip.start_s, 3);
            line.text(tune_word(review.latest, *call));
            line.text("shift " + std::to_string(key.first) +
                      (call->passage_id ? " passage " + std::to_string(*call->passage_id)
                                        : " call " + std::to_string(call->id)));
            out += line.take();
            break;
        }
    }
    std::fwrite(out.data(), 1, out.size(), stdout);
}

void list(const ListingOptions& options) {
    OpenRecords records("finding list", options.records.records);
    const std::vector<Finding> findings = findings_of(records, options.records);
    if (options.for_tune) {
        list_for_tune(records, findings);
        return;
    }
    std::set<std::int64_t> withdrawn;
    for (const Finding& finding : findings) {
        if (finding.withdraws) withdrawn.insert(*finding.withdraws);
    }
    Calls calls(records.store());
    Section section{"findings", "", {kFindingColumns, {}}, {}};
    for (const Finding& finding : findings) {
        const bool gone = withdrawn.count(finding.id) > 0;
        if (finding.withdraws || (gone && !options.all)) continue;
        const StationCall* call = calls.find(finding.shift_id, finding.call_id);
        const std::string verdict(name_of(finding.verdict));
        section.table.rows.push_back(
            {finding.id, std::to_string(finding.shift_id) + "/" + std::to_string(finding.call_id),
             finding.shift_id, finding.call_id, call != nullptr ? cell_of(call->passage_id) : Cell(),
             verdict + (gone ? ", withdrawn" : ""), verdict,
             finding.just_before ? Cell(std::string(name_of(*finding.just_before))) : Cell(), finding.note,
             finding.by, records.time().text(finding.utc_ns).substr(0, 10), utc_text(finding.utc_ns), gone});
    }
    section.lines.push_back(section.table.rows.empty() ? "There are none." : "call: shift/number.");
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

const std::vector<Column> kFigureColumns = {
    {"by", "by", 0},
    {"vocal", "vocal", 0},
    {"scored", "scored", 0},
    {"", "% (95 %)", 0, ShownTo::kPeople},
    {"percent", "", 2, ShownTo::kMachines},
    {"percent_low", "", 2, ShownTo::kMachines},
    {"percent_high", "", 2, ShownTo::kMachines},
};

std::vector<Cell> figure_row(const std::string& by, const ReviewedShare& share, std::int64_t scored) {
    const auto percent = [](const std::optional<double>& value) {
        return value ? Cell(100.0 * *value) : Cell();
    };
    return {by,
            share.vocal,
            scored,
            percent_text(share.share, share.interval),
            percent(share.share),
            share.interval ? Cell(100.0 * share.interval->low) : Cell(),
            share.interval ? Cell(100.0 * share.interval->high) : Cell()};
}

void show_figures(const ListingOptions& options) {
    OpenRecords records("finding figures", options.records.records);
    const std::vector<Finding> findings = findings_of(records, options.records);
    const ShiftRows rows = *records.store().read_shift(options.records.shift);
    const ReviewedFigures figures =
        reviewed_figures(rows.passages, rows.calls, options.records.shift, reviews_of(findings));
    std::vector<Amendment> amendments;
    records.store().read(
        [&](SQLite::Database& database) { amendments = read_amendments(database, options.records.shift); });
    Section section{"figures", "", {kFigureColumns, {}}, {}};
    section.table.rows = {figure_row("machine", figures.machine, figures.scored),
                          figure_row("review", figures.reviewed, figures.scored)};
    std::string turned;
    for (const std::int64_t id : figures.turned_silent) turned += " " + std::to_string(id);
    section.lines = {std::to_string(figures.judged) + " of " + std::to_string(figures.counted_calls) +
                         " counted calls judged: " + std::to_string(figures.confirmed) + " confirmed, " +
                         std::to_string(figures.turned_down) + " turned down, " +
                         std::to_string(figures.cannot_tell) +
                         " of which nobody could tell (they keep the machine's word), " +
                         std::to_string(figures.disputed) + " disputed.",
                     "Passages that are silent by review:" + (turned.empty() ? " none." : turned + "."),
                     "Findings are of calls that the machine heard, so they can only lower the share; what "
                     "it missed is shown by hand audits and by clips of quiet passages.",
                     "Amendments so far: " + std::to_string(amendments.size()) + "."};
    Statement statement;
    statement.figures = {
        {"shift_id", options.records.shift},  {"counted_calls", figures.counted_calls},
        {"judged", figures.judged},           {"confirmed", figures.confirmed},
        {"turned_down", figures.turned_down}, {"cannot_tell", figures.cannot_tell},
        {"disputed", figures.disputed},       {"amendments", static_cast<std::int64_t>(amendments.size())}};
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

} // namespace

void add_finding_listing(CLI::App& command) {
    const auto listed = std::make_shared<ListingOptions>();
    CLI::App* list_app = command.add_subcommand("list", "List those in force");
    add_records(*list_app, listed->records);
    list_app->add_option("--shift", listed->records.shift, "Only of this shift")->check(CLI::PositiveNumber);
    list_app->add_flag("--all", listed->all, "Withdrawn ones too");
    list_app->add_flag("--for-tune", listed->for_tune,
                       "As CSV for `tune --findings`: those whose clip is there");
    add_output(*list_app, listed->records);
    list_app->callback([listed] { list(*listed); });

    const auto figures = std::make_shared<ListingOptions>();
    CLI::App* figures_app = command.add_subcommand("figures", "A shift's share by machine and by review");
    add_records(*figures_app, figures->records);
    figures_app->add_option("--shift", figures->records.shift, "The shift's number")
        ->required()
        ->check(CLI::PositiveNumber);
    add_output(*figures_app, figures->records);
    figures_app->callback([figures] { show_figures(*figures); });
}

} // namespace quietpass
