#include "daemon/commands/clips_command.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <memory>

#include "daemon/clock.h"
#include "daemon/commands/records_options.h"
#include "daemon/failure.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/files.h"
#include "daemon/records/sha256.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

struct ClipsOptions {
    RecordsOptions records;
    std::int64_t passage = 0; // 0: any
    std::string why;
    bool all = false;
    std::vector<std::int64_t> clips;
    std::string by;
    std::string reason;
};

const std::vector<Column> kColumns = {
    {"clip_id", "clip", 0},
    {"", "from", 0, ShownTo::kPeople},
    {"why", "why", 0},
    {"shift_id", "shift", 0},
    {"passage_id", "passage", 0},
    {"call_id", "call", 0},
    {"alarm_id", "alarm", 0},
    {"", "s", 1, ShownTo::kPeople},
    {"", "MB", 2, ShownTo::kPeople},
    {"", "", 0, ShownTo::kPeople, true},
    {"start", "", 0, ShownTo::kMachines},
    {"start_s", "", 6, ShownTo::kMachines},
    {"end_s", "", 6, ShownTo::kMachines},
    {"microphones", "", 0, ShownTo::kMachines},
    {"rate_hz", "", 0, ShownTo::kMachines},
    {"bytes", "", 0, ShownTo::kMachines},
    {"held", "", 0, ShownTo::kMachines},
    {"deleted", "", 0, ShownTo::kMachines},
    {"deleted_why", "", 0, ShownTo::kMachines},
    {"deleted_by", "", 0, ShownTo::kMachines},
    {"deleted_reason", "", 0, ShownTo::kMachines},
    {"file", "", 0, ShownTo::kMachines},
    {"sha256", "", 0, ShownTo::kMachines},
};

std::vector<StoredClip> clips_of(const OpenRecords& records, const ClipFilter& filter) {
    std::vector<StoredClip> clips;
    records.store().read([&](SQLite::Database& database) { clips = read_clips(database, filter); });
    return clips;
}

StoredClip clip_of(const OpenRecords& records, std::int64_t clip_id) {
    ClipFilter filter;
    filter.clip_id = clip_id;
    filter.deleted_too = true;
    const std::vector<StoredClip> clips = clips_of(records, filter);
    if (clips.empty()) {
        records.fail(fmt::format("{}: no such clip; see `quietpass clips list --all`", clip_id));
    }
    return clips.front();
}

std::string remark(const StoredClip& clip) {
    if (clip.deletion) return fmt::format("deleted: {}", name_of(clip.deletion->why));
    return clip.held ? "held" : "";
}

std::vector<Cell> row_of(const StoredClip& clip, const LocalTime& time) {
    const ClipRow& row = clip.row;
    const auto utc = [](std::int64_t utc_ns) { return Cell(utc_text(utc_ns)); };
    const auto& deletion = clip.deletion;
    return {row.clip_id,
            row.start_utc_ns ? time.text(*row.start_utc_ns) : fmt::format("second {:.1f}", row.start_s),
            std::string(name_of(row.why)),
            row.shift_id,
            cell_of(row.passage_id),
            cell_of(row.call_id),
            cell_of(row.alarm_id),
            row.end_s - row.start_s,
            static_cast<double>(row.bytes) * 1e-6,
            remark(clip),
            row.start_utc_ns ? utc(*row.start_utc_ns) : Cell(),
            row.start_s,
            row.end_s,
            row.microphones,
            row.rate_hz,
            row.bytes,
            clip.held,
            deletion ? utc(deletion->utc_ns) : Cell(),
            deletion ? Cell(std::string(name_of(deletion->why))) : Cell(),
            deletion && !deletion->by.empty() ? Cell(deletion->by) : Cell(),
            deletion && !deletion->reason.empty() ? Cell(deletion->reason) : Cell(),
            row.file,
            row.sha256};
}

void list_clips(const ClipsOptions& options) {
    const OpenRecords records("clips list", options.records.records);
    const RecordSpan span = records.span(options.records);
    ClipFilter filter;
    filter.from_utc_ns = span.from_utc_ns;
    filter.to_utc_ns = span.to_utc_ns;
    filter.shift_id = span.shift_id;
    if (options.passage > 0) filter.passage_id = options.passage;
    if (!options.why.empty()) filter.why = clip_why_from(options.why);
    filter.deleted_too = options.all;
    Section section{"clips", "", {kColumns, {}}, {}};
    std::int64_t bytes = 0;
    double length_s = 0.0;
    for (const StoredClip& clip : clips_of(records, filter)) {
        section.table.rows.push_back(row_of(clip, records.time()));
        if (clip.deletion) continue;
        bytes += clip.row.bytes;
        length_s += clip.row.end_s - clip.row.start_s;
    }
    section.lines.push_back(
        section.table.rows.empty()
            ? "There are none."
            : fmt::format("{:.1f} MB, {:.0f} s in all.", static_cast<double>(bytes) * 1e-6, length_s));
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

std::filesystem::path folder_of(const OpenRecords& records) {
    return std::filesystem::absolute(records.store().file()).parent_path();
}

// Whether the file is what was recorded.
std::string state_of_file(const StoredClip& clip, const std::filesystem::path& file) {
    if (clip.deletion) return "deleted";
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(file, ignored)) return "missing";
    return sha256_hex_of_file(file) == clip.row.sha256 ? "as recorded" : "altered";
}

std::vector<std::string> words_of(const StoredClip& clip, const std::filesystem::path& file) {
    std::vector<std::string> lines = {
        fmt::format("Clip {}: microphones {}, {} Hz; file {}:", clip.row.clip_id, clip.row.microphones,
                    clip.row.rate_hz, state_of_file(clip, file)),
        "  " + file.string(), "  SHA-256 " + clip.row.sha256};
    if (clip.held) lines.emplace_back("  A case holds it: it can't be deleted.");
    if (clip.deletion) {
        std::string line =
            fmt::format("  Deleted {} ({})", utc_text(clip.deletion->utc_ns), name_of(clip.deletion->why));
        if (!clip.deletion->by.empty()) line += " by " + clip.deletion->by;
        if (!clip.deletion->reason.empty()) line += ": " + clip.deletion->reason;
        lines.push_back(line);
    }
    return lines;
}

void show_clips(const ClipsOptions& options) {
    const OpenRecords records("clips show", options.records.records);
    Section section{"clips", "", {kColumns, {}}, {}};
    section.table.columns.push_back({"file_is", "", 0, ShownTo::kMachines});
    for (const std::int64_t clip_id : options.clips) {
        const StoredClip clip = clip_of(records, clip_id);
        const std::filesystem::path file = folder_of(records) / clip.row.file;
        std::vector<Cell>& row = section.table.rows.emplace_back(row_of(clip, records.time()));
        row.emplace_back(state_of_file(clip, file));
        for (const std::string& line : words_of(clip, file)) section.lines.push_back(line);
    }
    Statement statement;
    statement.sections.push_back(section);
    print(statement, options.records.output());
}

bool blank(const std::string& text) {
    return text.find_first_not_of(" \t\n") == std::string::npos;
}

void delete_clips(const ClipsOptions& options) {
    OpenRecords records("clips delete", options.records.records, RecordsAccess::kWriting);
    if (blank(options.by)) records.fail("--by is empty; say who deletes");
    if (blank(options.reason)) records.fail("--reason is empty; say why");
    // All or none: a wrong number among many is found before anything is gone.
    for (const std::int64_t clip_id : options.clips) clip_of(records, clip_id);
    const std::int64_t now_ns = RealClock().utc_ns();
    std::vector<std::int64_t> held;
    std::vector<std::int64_t> deleted_already;
    records.store().change([&](SQLite::Database& database) {
        for (const std::int64_t clip_id : options.clips) {
            const ClipDeletion deletion{clip_id, now_ns, DeletedWhy::kPerson, options.by, options.reason};
            switch (record_deletion(database, deletion)) {
                case Deleting::kHeld:
                    throw Failure(kExitFailure,
                                  fmt::format("clips delete: {}: a case holds this clip; nothing "
                                              "was deleted. Release it there first",
                                              clip_id));
                case Deleting::kDeletedAlready:
                    deleted_already.push_back(clip_id);
                    break;
                case Deleting::kRecorded:
                case Deleting::kUnknown:
                    break;
            }
        }
    });
    RealFiles files;
    for (const std::int64_t clip_id : options.clips) {
        files.remove(folder_of(records) / clip_of(records, clip_id).row.file);
        const bool before =
            std::find(deleted_already.begin(), deleted_already.end(), clip_id) != deleted_already.end();
        std::printf("clip %lld %s\n", static_cast<long long>(clip_id),
                    before ? "was deleted before" : "is deleted; its row stays in the store");
    }
    std::fflush(stdout);
}

void add_which(CLI::App& command, ClipsOptions& options) {
    command.add_option("clip", options.clips, "Numbers of clips, as `clips list` shows them")
        ->required()
        ->check(CLI::PositiveNumber);
}

} // namespace

void add_clips(CLI::App& app) {
    CLI::App* command = app.add_subcommand("clips", "Sound that was kept: of calls, alarms, a sample");
    command->require_subcommand(1);

    const auto listed = std::make_shared<ClipsOptions>();
    CLI::App* list = command->add_subcommand("list", "List them");
    add_records(*list, listed->records);
    list->add_option("--from", listed->records.from,
                     "Clips that last beyond here, as \"2026-03-02 06:00\"\n"
                     "(the station's time) or 2026-03-02T13:00:00Z");
    list->add_option("--to", listed->records.to, "Clips that begin before here");
    list->add_option("--shift", listed->records.shift, "Only of the shift of this id")
        ->check(CLI::PositiveNumber);
    list->add_option("--passage", listed->passage, "Only of this passage")->check(CLI::PositiveNumber);
    list->add_option("--why", listed->why, "Only these: call, alarm, quiet or continuous")
        ->check(CLI::IsMember({"call", "alarm", "quiet", "continuous"}));
    list->add_flag("--all", listed->all, "Deleted ones too");
    add_output(*list, listed->records);
    list->callback([listed] { list_clips(*listed); });

    const auto shown = std::make_shared<ClipsOptions>();
    CLI::App* show =
        command->add_subcommand("show", "All of one or more, and whether the file is as recorded");
    add_records(*show, shown->records);
    add_which(*show, *shown);
    add_output(*show, shown->records);
    show->callback([shown] { show_clips(*shown); });

    const auto deleted = std::make_shared<ClipsOptions>();
    CLI::App* remove = command->add_subcommand("delete", "Delete files of clips; the rows stay");
    remove->footer(
        "A clip that a case holds is never deleted. Who deleted what, when and why stays\n"
        "in the records for good.");
    add_records(*remove, deleted->records);
    add_which(*remove, *deleted);
    remove->add_option("--by", deleted->by, "Who deletes")->required();
    remove->add_option("--reason", deleted->reason, "Why")->required();
    remove->callback([deleted] { delete_clips(*deleted); });
}

} // namespace quietpass
