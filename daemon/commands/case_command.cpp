#include "daemon/commands/case_command.h"

#include <cstdio>
#include <memory>

#include "daemon/clock.h"
#include "daemon/commands/case_listing.h"
#include "daemon/commands/records_options.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/clip_rows.h"
#include "daemon/review/case_search.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

struct CaseOptions {
    RecordsOptions records;
    std::int64_t id = 0;
    std::string reference;
    std::string asked_by;
    std::string text;
    std::string by;
    bool calling = false;
    std::vector<std::int64_t> passages;
    std::vector<std::int64_t> calls;
    std::vector<std::int64_t> clips;
};

using Work = void (*)(const CaseOptions&);

CaseFile case_of(OpenRecords& records, std::int64_t id) {
    std::optional<CaseFile> file;
    records.store().read([&](SQLite::Database& database) { file = read_case(database, id); });
    if (!file) records.fail(std::to_string(id) + ": no such case; see `quietpass case list`");
    return *file;
}

CaseFile open_case_of(OpenRecords& records, std::int64_t id) {
    CaseFile file = case_of(records, id);
    if (!state_of(file).open) {
        records.fail("case " + std::to_string(id) + " is closed; `quietpass case reopen` opens it again");
    }
    return file;
}

CaseEvent event_of(const CaseOptions& options, const std::string& event) {
    CaseEvent made;
    made.case_id = options.id;
    made.utc_ns = RealClock().utc_ns();
    made.by = options.by;
    made.event = event;
    made.text = options.text;
    return made;
}

void say(std::int64_t id, const std::string& what) {
    std::printf("case %lld: %s\n", static_cast<long long>(id), what.c_str());
}

std::string counted(std::size_t count, const std::string& word) {
    return std::to_string(count) + " " + word + (count == 1 ? "" : "s");
}

void open(const CaseOptions& options) {
    OpenRecords records("case open", options.records.records);
    const RecordSpan span = records.span(options.records);
    CaseFile file;
    file.reference = options.reference;
    file.asked_by = options.asked_by;
    file.from_utc_ns = span.from_utc_ns;
    file.to_utc_ns = span.to_utc_ns;
    file.by = options.by;
    file.note = options.text;
    file.utc_ns = RealClock().utc_ns();
    std::int64_t id = 0;
    records.store().change([&](SQLite::Database& database) { id = add_case(database, file); });
    say(id, "opened, reference " + options.reference);
}

void hold_clips(SQLite::Database& database, const CaseOptions& options,
                const std::vector<std::int64_t>& clips, bool held) {
    for (const std::int64_t clip : clips) {
        add_clip_hold(database, {clip, options.id, held, RealClock().utc_ns(), options.by});
    }
}

// Adds what was found, and holds the clips: a clip of a case must not be gone when somebody comes to it.
void gather(const CaseOptions& options) {
    OpenRecords records("case gather", options.records.records);
    const CaseFile file = open_case_of(records, options.id);
    CaseWish wish;
    wish.span = records.span(options.records);
    if (!wish.span.from_utc_ns) wish.span.from_utc_ns = file.from_utc_ns;
    if (!wish.span.to_utc_ns) wish.span.to_utc_ns = file.to_utc_ns;
    wish.calling = options.calling;
    wish.shift_id = options.records.shift;
    wish.passages = options.passages;
    wish.calls = options.calls;
    wish.clips = options.clips;
    if (wish.shift_id == 0 && !(wish.passages.empty() && wish.calls.empty())) {
        records.fail("--passage and --call need the number of their shift: --shift");
    }
    std::vector<CaseEvent> events = search_for_case(records.store(), file, wish);
    std::size_t passages = 0;
    std::size_t calls = 0;
    std::vector<std::int64_t> clips;
    for (CaseEvent& event : events) {
        event.utc_ns = RealClock().utc_ns();
        event.by = options.by;
        if (event.passage_id) ++passages;
        if (event.call_id) ++calls;
        if (event.clip_id) clips.push_back(*event.clip_id);
    }
    records.store().change([&](SQLite::Database& database) {
        for (const CaseEvent& event : events) add_case_event(database, event);
        hold_clips(database, options, clips, true);
    });
    say(options.id, counted(passages, "passage") + ", " + counted(calls, "call") + " and " +
                        counted(clips.size(), "clip") + " added; the clips are held");
}

void drop(const CaseOptions& options) {
    OpenRecords records("case drop", options.records.records);
    const CaseState state = state_of(open_case_of(records, options.id));
    std::vector<CaseEvent> events;
    const auto add = [&](std::int64_t number, std::optional<std::int64_t> CaseEvent::*which, bool there,
                         const std::string& word) {
        if (!there) records.fail(word + " " + std::to_string(number) + " is not in the case");
        events.push_back(event_of(options, "dropped"));
        if (which != &CaseEvent::clip_id) events.back().shift_id = options.records.shift;
        events.back().*which = number;
    };
    const std::int64_t shift = options.records.shift;
    for (const std::int64_t id : options.passages)
        add(id, &CaseEvent::passage_id, state.passages.count({shift, id}) > 0, "passage");
    for (const std::int64_t id : options.calls)
        add(id, &CaseEvent::call_id, state.calls.count({shift, id}) > 0, "call");
    for (const std::int64_t id : options.clips)
        add(id, &CaseEvent::clip_id, state.clips.count(id) > 0, "clip");
    if (events.empty()) records.fail("nothing to drop: give --passage, --call (with --shift) or --clip");
    records.store().change([&](SQLite::Database& database) {
        for (const CaseEvent& event : events) add_case_event(database, event);
    });
    say(options.id, std::to_string(events.size()) + " dropped");
}

void hold(const CaseOptions& options, bool held) {
    OpenRecords records(held ? "case hold" : "case release", options.records.records);
    const CaseState state = state_of(case_of(records, options.id));
    std::vector<std::int64_t> holding;
    std::vector<StoredClip> there;
    records.store().read([&](SQLite::Database& database) {
        holding = clips_held_by(database, options.id);
        there = read_clips(database, {});
    });
    std::vector<std::int64_t> clips = options.clips;
    if (clips.empty() && !held) clips = holding;
    if (clips.empty() && held) clips.assign(state.clips.begin(), state.clips.end());
    const std::set<std::int64_t> now(holding.begin(), holding.end());
    std::erase_if(clips, [&](std::int64_t clip) { return (now.count(clip) > 0) == held; });
    for (const std::int64_t clip : clips) {
        const auto is = [clip](const StoredClip& each) { return each.row.clip_id == clip; };
        if (held && std::none_of(there.begin(), there.end(), is)) {
            records.fail("there is no clip " + std::to_string(clip) + ", or it was deleted");
        }
    }
    records.store().change([&](SQLite::Database& database) { hold_clips(database, options, clips, held); });
    say(options.id, counted(clips.size(), "clip") +
                        (held ? " more held" : " released; what no case holds is deleted by age and space"));
}

void add_event(const CaseOptions& options, const std::string& event, const std::string& said) {
    OpenRecords records("case " + event, options.records.records);
    const CaseFile file =
        event == "reopened" ? case_of(records, options.id) : open_case_of(records, options.id);
    if (event == "reopened" && state_of(file).open) {
        records.fail("case " + std::to_string(options.id) + " is open already");
    }
    std::vector<std::int64_t> holding;
    records.store().change([&](SQLite::Database& database) {
        add_case_event(database, event_of(options, event));
        holding = clips_held_by(database, options.id);
    });
    const bool holds = event == "closed" && !holding.empty();
    say(options.id,
        said + (holds ? "; it holds " + counted(holding.size(), "clip") + " until `quietpass case release`"
                      : ""));
}

CLI::App* sub(CLI::App& command, const char* name, const char* what,
              const std::shared_ptr<CaseOptions>& options, Work work) {
    CLI::App* app = command.add_subcommand(name, what);
    if (std::string(name) != "open") {
        app->add_option("case", options->id, "Its number")->required()->check(CLI::PositiveNumber);
    }
    add_records(*app, options->records);
    app->add_option("--by", options->by, "Who does this")->required();
    app->callback([options, work] { work(*options); });
    return app;
}

void add_items(CLI::App& app, CaseOptions& options) {
    app.add_option("--passage", options.passages, "Passages of --shift. Repeatable")
        ->check(CLI::PositiveNumber);
    app.add_option("--call", options.calls, "Calls of --shift. Repeatable")->check(CLI::PositiveNumber);
    app.add_option("--clip", options.clips, "Clips. Repeatable")->check(CLI::PositiveNumber);
}

void add_text(CLI::App& app, CaseOptions& options, const char* what) {
    app.add_option("text", options.text, what)->required();
}

} // namespace

void add_case_command(CLI::App& app) {
    CLI::App* command = app.add_subcommand("case", "The file opened when someone complains");
    command->require_subcommand(1);

    const auto opened = std::make_shared<CaseOptions>();
    CLI::App* open_app = sub(*command, "open", "Open one", opened, open);
    open_app->add_option("--reference", opened->reference, "The asker's or your own number of it")
        ->required();
    open_app->add_option("--asked-by", opened->asked_by, "Who complained or asked")->required();
    add_span(*open_app, opened->records);
    open_app->add_option("--note", opened->text, "What it is about");

    const auto gathered = std::make_shared<CaseOptions>();
    CLI::App* gather_app =
        sub(*command, "gather", "Add passages, calls and their clips; hold the clips", gathered, gather);
    gather_app->footer("Without --passage, --call and --clip: all of the case's span of time.");
    add_span(*gather_app, gathered->records);
    gather_app->add_flag("--calling", gathered->calling, "Of the span only passages with a call");
    add_items(*gather_app, *gathered);

    const auto dropped = std::make_shared<CaseOptions>();
    CLI::App* drop_app =
        sub(*command, "drop", "Take something out; that it was in stays on record", dropped, drop);
    drop_app->add_option("--shift", dropped->records.shift, "Shift of --passage and --call");
    drop_app->add_option("--why", dropped->text, "Why")->required();
    add_items(*drop_app, *dropped);

    const auto held = std::make_shared<CaseOptions>();
    sub(*command, "hold", "Keep clips from being deleted", held, [](const CaseOptions& options) {
        hold(options, true);
    })->add_option("--clip", held->clips, "Clips; without it all of the case. Repeatable");
    const auto released = std::make_shared<CaseOptions>();
    sub(*command, "release", "Let clips be deleted by age and space again", released,
        [](const CaseOptions& options) { hold(options, false); })
        ->add_option("--clip", released->clips, "Clips; without it all that it holds. Repeatable");

    const auto noted = std::make_shared<CaseOptions>();
    add_text(*sub(*command, "note", "Write a note into it", noted,
                  [](const CaseOptions& options) { add_event(options, "note", "noted"); }),
             *noted, "The note");
    const auto decided = std::make_shared<CaseOptions>();
    add_text(*sub(*command, "decide", "Write down what was decided", decided,
                  [](const CaseOptions& options) { add_event(options, "decision", "decided"); }),
             *decided, "The decision");
    const auto closed = std::make_shared<CaseOptions>();
    sub(*command, "close", "Close it", closed, [](const CaseOptions& options) {
        add_event(options, "closed", "closed");
    })->add_option("--why", closed->text, "Why");
    const auto reopened = std::make_shared<CaseOptions>();
    sub(*command, "reopen", "Open a closed one again", reopened, [](const CaseOptions& options) {
        add_event(options, "reopened", "open again");
    })->add_option("--why", reopened->text, "Why");

    add_case_listing(*command);
}

} // namespace quietpass
