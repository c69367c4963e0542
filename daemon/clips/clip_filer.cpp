#include "daemon/clips/clip_filer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <system_error>
#include <utility>

#include "daemon/clips/masked_cut.h"
#include "daemon/failure.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

// Rows that wait for a store that refuses them: with more, no clip is written.
constexpr std::size_t kMostWaiting = 100;
// A row that the store itself takes for wrong this often can never be stored. More than once, because the
// shift it belongs to may be on its way.
constexpr int kMostTries = 30;
// In one go, so that a great many do not hold the store for long.
constexpr std::size_t kMostAtOnce = 200;
// Writing goes on only when a little more than the limit is free, lest it stop and go.
constexpr double kFreeAgain = 1.05;
constexpr const char* kUnrecorded = "unrecorded";

std::filesystem::path aside_of(const std::filesystem::path& file) {
    return file.parent_path() / ("." + file.filename().string() + ".part");
}

bool is_aside(const std::filesystem::path& file) {
    const std::string name = file.filename().string();
    return name.starts_with(".") && name.ends_with(".part");
}

} // namespace

ClipFiler::ClipFiler(std::filesystem::path out, ClipOrigin origin, const ClipSettings& settings, Files& files,
                     Store store, const Clock& clock, Say say)
    : out_(std::move(out)),
      origin_(std::move(origin)),
      settings_(settings),
      files_(files),
      store_(std::move(store)),
      clock_(clock),
      say_(std::move(say)) {
    shelf_.follow(store_);
    store_.read([this](SQLite::Database& database) { next_clip_id_ = next_clip_id(database); });
}

void ClipFiler::open() {
    try {
        sort_files();
    } catch (const std::system_error& error) {
        say_(true, fmt::format("clips: {} can't be looked through ({})", clips().string(), error.what()));
    } catch (const Failure& failure) {
        say_(true, failure.what());
    }
    keep_house();
}

bool ClipFiler::file(const ClipJob& job) {
    look_at_space();
    if (!space_low_.empty()) return drop(space_low_);
    write_rows();
    if (waiting_.size() >= kMostWaiting) return drop(store_refuses_);

    ClipRow row = row_of(job);
    std::string bytes;
    try {
        ClipTags tags = clip_tags(row, origin_, lost_words(job.cut, origin_.microphones));
        if (settings_.mask_speech) tags.comment += "; speech=masked";
        bytes = settings_.mask_speech
                    ? flac_of(with_speech_masked(job.cut, job.wish.calls), settings_.bits, tags)
                    : flac_of(job.cut, settings_.bits, tags);
    } catch (const std::exception& error) {
        return drop(error.what());
    }
    row.bytes = static_cast<std::int64_t>(bytes.size());
    row.sha256 = sha256_hex(bytes);
    if (!write(out_ / row.file, bytes)) return drop(disk_refuses_);
    ++next_clip_id_;
    state_.filed += 1;
    state_.filed_bytes += bytes.size();
    waiting_.push_back({std::move(row)});
    write_rows();
    tell_state();
    return true;
}

ClipRow ClipFiler::row_of(const ClipJob& job) const {
    ClipRow row;
    row.clip_id = next_clip_id_;
    row.shift_id = job.wish.shift_id;
    row.why = job.wish.why;
    row.passage_id = job.wish.passage_id;
    row.call_id = job.wish.call_id;
    row.alarm_id = job.wish.alarm_id;
    for (const std::string& name : origin_.microphones)
        row.microphones += (row.microphones.empty() ? "" : ",") + name;
    row.start_s = job.cut.start_s;
    row.end_s = job.cut.start_s + job.cut.length_s();
    row.start_utc_ns = job.start_utc_ns;
    row.rate_hz = std::llround(job.cut.rate_hz);
    row.file = clip_file_name(row);
    return row;
}

bool ClipFiler::write(const std::filesystem::path& file, const std::string& bytes) {
    const std::filesystem::path aside = aside_of(file);
    try {
        make_folder(file.parent_path());
        files_.write(aside, bytes);
        files_.sync(aside);
        files_.rename(aside, file);
        files_.sync_folder(file.parent_path());
        disk_refuses_.clear();
        return true;
    } catch (const std::system_error& error) {
        disk_refuses_ = fmt::format("{} can't be written ({})", clips().string(), error.code().message());
        folder_made_.clear();
        remove_quietly(aside);
        remove_quietly(file);
        return false;
    }
}

// A folder's name must be on the disk as its files must.
void ClipFiler::make_folder(const std::filesystem::path& folder) {
    if (folder == folder_made_) return;
    files_.make_folders(folder);
    for (std::filesystem::path above = folder.parent_path();; above = above.parent_path()) {
        files_.sync_folder(above);
        if (above == out_ || !above.has_relative_path()) break;
    }
    folder_made_ = folder;
}

void ClipFiler::remove_quietly(const std::filesystem::path& file) {
    try {
        files_.remove(file);
    } catch (const std::system_error&) {
        // What can't be removed now is seen to at the next start.
    }
}

bool ClipFiler::drop(const std::string& why) {
    state_.dropped += 1;
    say_(true, fmt::format("a clip is lost: {}; {} so far", why, state_.dropped));
    tell_state();
    return false;
}

void ClipFiler::look_at_space() {
    double free_mb = 0.0;
    try {
        free_mb = static_cast<double>(files_.free_bytes(out_)) * 1e-6;
    } catch (const std::system_error&) {
        return; // writing will tell
    }
    const double needed_mb = settings_.min_free_mb * (space_low_.empty() ? 1.0 : kFreeAgain);
    if (free_mb >= needed_mb) {
        space_low_.clear();
    } else {
        space_low_ = fmt::format("{:.0f} MB are free at {}, the least for clips is {:.0f} MB", free_mb,
                                 out_.string(), settings_.min_free_mb);
    }
}

void ClipFiler::write_rows() {
    while (!waiting_.empty()) {
        Waiting& first = waiting_.front();
        try {
            store_.change([&](SQLite::Database& database) { add_clip(database, first.row); });
            store_refuses_.clear();
        } catch (const StoreError& error) {
            store_refuses_ = error.what();
            first.tries += error.row_is_bad() ? 1 : 0;
            if (first.tries < kMostTries) return;
            remove_quietly(out_ / first.row.file);
            state_.filed -= 1;
            drop(error.what());
        }
        waiting_.erase(waiting_.begin());
    }
}

void ClipFiler::tell_state() {
    const std::string& why = !space_low_.empty()      ? space_low_
                             : !disk_refuses_.empty() ? disk_refuses_
                             // A few rows that wait are the records' trouble, and told of there.
                             : waiting_.size() >= kMostWaiting ? store_refuses_
                                                               : std::string();
    const bool was_stopped = std::exchange(state_.stopped, !why.empty());
    state_.why = why;
    if (state_.stopped && !was_stopped) say_(true, fmt::format("no clips are kept: {}", why));
    if (!state_.stopped && was_stopped) say_(false, "clips are kept again");
}

void ClipFiler::keep_house() {
    look_at_space();
    write_rows();
    try {
        shelf_.follow(store_);
        let_go();
        let_go_of_unrecorded();
        told_of_waiting_ = false;
    } catch (const std::exception& error) {
        // Of the store or the disk; the next time comes soon.
        if (!std::exchange(told_of_waiting_, true))
            say_(true, fmt::format("clips whose time is over wait: {}", error.what()));
    }
    tell_state();
}

bool ClipFiler::settle() {
    write_rows();
    tell_state();
    return waiting_.empty();
}

std::int64_t ClipFiler::kept_from_utc_ns() const {
    return clock_.utc_ns() - static_cast<std::int64_t>(settings_.keep_days * 86400.0 * 1e9);
}

void ClipFiler::let_go() {
    const std::int64_t from_ns = kept_from_utc_ns();
    const double most_bytes = settings_.keep_mb * 1e6;
    const auto& clips = shelf_.by_age();
    const bool too_old = !clips.empty() && clips.begin()->first.first < from_ns;
    if (!too_old && static_cast<double>(shelf_.bytes()) <= most_bytes) return;

    std::set<std::int64_t> held;
    store_.read([&](SQLite::Database& database) {
        for (const std::int64_t clip_id : held_clips(database)) held.insert(clip_id);
    });
    std::vector<ClipShelf::Clip> by_age;
    std::vector<ClipShelf::Clip> by_space;
    auto bytes = static_cast<double>(shelf_.bytes());
    for (const auto& [key, clip] : clips) {
        const bool old = clip.start_utc_ns < from_ns;
        if ((!old && bytes <= most_bytes) || by_age.size() + by_space.size() >= kMostAtOnce) break;
        if (held.contains(clip.clip_id)) continue;
        (old ? by_age : by_space).push_back(clip);
        bytes -= static_cast<double>(clip.bytes);
    }
    let_go_of(by_age, DeletedWhy::kAge);
    let_go_of(by_space, DeletedWhy::kSpace);
    const bool only_held = by_age.empty() && by_space.empty() && bytes > most_bytes;
    if (only_held && !std::exchange(told_of_held_, true)) {
        say_(true, fmt::format("the clips that cases hold take {:.0f} MB, more than keep_mb = {:.0f}",
                               bytes * 1e-6, settings_.keep_mb));
    }
}

// All are recorded first, so that a crash leaves files to remove and never a clip that went unsaid.
void ClipFiler::let_go_of(const std::vector<ClipShelf::Clip>& clips, DeletedWhy why) {
    if (clips.empty()) return;
    const std::int64_t now_ns = clock_.utc_ns();
    std::vector<std::string> gone;
    store_.change([&](SQLite::Database& database) {
        gone.clear();
        for (const ClipShelf::Clip& clip : clips) {
            // It may be held by now, or a person was faster.
            const ClipDeletion deletion{clip.clip_id, now_ns, why, "", ""};
            if (record_deletion(database, deletion) == Deleting::kRecorded) gone.push_back(clip.file);
        }
    });
    for (const std::string& file : gone) remove_quietly(out_ / file);
    shelf_.follow(store_);
    state_.deleted += gone.size();
    if (!gone.empty()) {
        say_(false, fmt::format("{} clip(s) deleted: {}", gone.size(),
                                why == DeletedWhy::kAge
                                    ? fmt::format("older than {:g} days", settings_.keep_days)
                                    : fmt::format("all take more than {:g} MB", settings_.keep_mb)));
    }
}

void ClipFiler::let_go_of_unrecorded() {
    for (const std::filesystem::path& file : files_.files_under(clips() / kUnrecorded)) {
        const auto utc_ns = utc_ns_of_clip_name(file.filename().string());
        if (utc_ns && *utc_ns < kept_from_utc_ns()) files_.remove(file);
    }
}

void ClipFiler::sort_files() {
    std::set<std::string> expected;
    for (const auto& [key, clip] : shelf_.by_age()) expected.insert(clip.file);
    std::vector<std::filesystem::path> without_row;
    for (const std::filesystem::path& file : files_.files_under(clips())) {
        if (file.parent_path() == clips() / kUnrecorded) continue;
        if (expected.erase(file.lexically_relative(out_).generic_string()) > 0) continue;
        if (is_aside(file)) {
            files_.remove(file);
        } else {
            without_row.push_back(file);
        }
    }
    if (!without_row.empty()) sort_files_without_row(without_row);
    if (!expected.empty()) {
        say_(true, fmt::format("{} clip(s) of the records have no file, the first is {}", expected.size(),
                               *expected.begin()));
    }
}

void ClipFiler::sort_files_without_row(const std::vector<std::filesystem::path>& files) {
    std::set<std::string> deleted;
    store_.read([&](SQLite::Database& database) {
        for (std::string& file : files_of_deleted_clips(database)) deleted.insert(std::move(file));
    });
    std::size_t unrecorded = 0;
    for (const std::filesystem::path& file : files) {
        if (deleted.contains(file.lexically_relative(out_).generic_string())) {
            files_.remove(file);
            continue;
        }
        files_.make_folders(clips() / kUnrecorded);
        files_.rename(file, clips() / kUnrecorded / file.filename());
        ++unrecorded;
    }
    if (unrecorded == 0) return;
    say_(true, fmt::format("{} file(s) in {} are in no record and were moved to {}", unrecorded,
                           clips().string(), (clips() / kUnrecorded).string()));
}

} // namespace quietpass
