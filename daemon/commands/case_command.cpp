#include "daemon/commands/case_command.h"

#include <cstdio>
#include <memory>

#include "daemon/clock.h"
#include "daemon/commands/case_listing.h"
#include "daemon/commands/records_options.h"
#include "daemon/review/case_steps.h"

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

CaseHand hand_of(const CaseOptions& options) {
    return {options.by, RealClock().utc_ns()};
}

void say(std::int64_t id, const std::string& what) {
    std::printf("case %lld: %s\n", static_cast<long long>(id), what.c_str());
}

std::string counted(std::size_t count, const std::string& word) {
    return std::to_string(count) + " " + word + (count == 1 ? "" : "s");
}

void open(const CaseOptions& options) {
    OpenRecords records("case open", options.records.records, RecordsAccess::kWriting);
    const RecordSpan span = records.span(options.records);
    CaseFile file;
    file.reference = options.reference;
    file.asked_by = options.asked_by;
    file.from_utc_ns = span.from_utc_ns;
    file.to_utc_ns = span.to_utc_ns;
    file.note = options.text;
    say(open_case(records.store(), file, hand_of(options)), "opened, reference " + options.reference);
}

void gather(const CaseOptions& options) {
    OpenRecords records("case gather", options.records.records, RecordsAccess::kWriting);
    CaseWish wish;
    wish.span = records.span(options.records);
    wish.calling = options.calling;
    wish.shift_id = options.records.shift;
    wish.passages = options.passages;
    wish.calls = options.calls;
    wish.clips = options.clips;
    if (wish.shift_id == 0 && !(wish.passages.empty() && wish.calls.empty())) {
        records.fail("--passage and --call need the number of their shift: --shift");
    }
    const Gathered gathered = gather_into_case(records.store(), options.id, wish, hand_of(options));
    say(options.id, counted(gathered.passages, "passage") + ", " + counted(gathered.calls, "call") + " and " +
                        counted(gathered.clips, "clip") + " added; the clips are held");
}

void drop(const CaseOptions& options) {
    OpenRecords records("case drop", options.records.records, RecordsAccess::kWriting);
    const CaseItems items{options.records.shift, options.passages, options.calls, options.clips};
    if (items.passages.empty() && items.calls.empty() && items.clips.empty())
        records.fail("nothing to drop: give --passage, --call (with --shift) or --clip");
    const std::size_t dropped =
        drop_from_case(records.store(), options.id, items, options.text, hand_of(options));
    say(options.id, std::to_string(dropped) + " dropped");
}

void hold(const CaseOptions& options, bool held) {
    OpenRecords records(held ? "case hold" : "case release", options.records.records,
                        RecordsAccess::kWriting);
    const std::size_t changed =
        hold_for_case(records.store(), options.id, options.clips, held, hand_of(options));
    say(options.id, counted(changed, "clip") +
                        (held ? " more held" : " released; what no case holds is deleted by age and space"));
}

void add_event(const CaseOptions& options, const std::string& event, const std::string& said) {
    OpenRecords records("case " + event, options.records.records, RecordsAccess::kWriting);
    const std::size_t holds =
        add_case_step(records.store(), options.id, event, options.text, hand_of(options));
    say(options.id, said + (event == "closed" && holds > 0
                                ? "; it holds " + counted(holds, "clip") + " until `quietpass case release`"
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
