// Files clips: OUT/clips/YYYY/MM/DD/….flac and a row for each, and lets them go when their time or their
// space is over.
//
// In this order, so that a row never stands without its whole file: encoded in memory; written aside,
// synced, renamed, folder synced; then the row. To delete: the row first, then the file. A crash between
// leaves a file without a row or a deleted clip's file, which open() sees to:
// - asides are removed, files of deleted clips are removed;
// - a whole file without a row is moved to OUT/clips/unrecorded/ and said, and goes when keep_days are over.
//   It is no record (what the ledger did not take in while it was heard could be anybody's), but it may be
//   what a restored older store no longer knows of;
// - a row without its file is said.
//
// With less than min_free_mb free, or while the disk refuses, no clip is written: clips give way before
// records do. A clip that can't be written is dropped, counted and said; the next one is tried again.
//
// One thread at a time. Nothing is thrown after the constructor (Failure: the store can't be read).
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "daemon/clips/clip_name.h"
#include "daemon/clips/clip_shelf.h"
#include "daemon/clips/clip_wish.h"
#include "daemon/clips/sound_cut.h"
#include "daemon/clock.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/files.h"
#include "daemon/records/store.h"
#include "daemon/settings/clip_settings.h"

namespace quietpass {

// A wish with its sound.
struct ClipJob {
    ClipWish wish;
    SoundCut cut;
    std::optional<std::int64_t> start_utc_ns; // of its first frame
};

struct ClipState {
    bool stopped = false;
    std::string why;           // one line, while stopped
    std::uint64_t filed = 0;   // of this run
    std::uint64_t dropped = 0; // could not be kept
    std::uint64_t deleted = 0; // by age or space
    std::uint64_t filed_bytes = 0;
};

class ClipFiler {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // store: this object's alone. files and clock must outlive it.
    ClipFiler(std::filesystem::path out, ClipOrigin origin, const ClipSettings& settings, Files& files,
              Store store, const Clock& clock, Say say);

    // Before the first clip.
    void open();
    // false: dropped.
    bool file(const ClipJob& job);
    // Every few seconds: free space, rows that wait, clips whose time is over.
    void keep_house();
    // true: no row waits for the store.
    bool settle();

    const ClipState& state() const { return state_; }

  private:
    struct Waiting {
        ClipRow row;
        int tries = 0;
    };

    std::filesystem::path clips() const { return out_ / "clips"; }
    ClipRow row_of(const ClipJob& job) const;
    bool write(const std::filesystem::path& file, const std::string& bytes);
    void make_folder(const std::filesystem::path& folder);
    void remove_quietly(const std::filesystem::path& file);
    bool drop(const std::string& why);
    void look_at_space();
    void write_rows();
    void tell_state();
    void sort_files();
    void sort_files_without_row(const std::vector<std::filesystem::path>& files);
    void let_go();
    void let_go_of(const std::vector<ClipShelf::Clip>& clips, DeletedWhy why);
    void let_go_of_unrecorded();
    std::int64_t kept_from_utc_ns() const;

    std::filesystem::path out_;
    ClipOrigin origin_;
    ClipSettings settings_;
    Files& files_;
    Store store_;
    const Clock& clock_;
    Say say_;
    ClipShelf shelf_;
    ClipState state_;
    std::int64_t next_clip_id_ = 1;
    std::filesystem::path folder_made_;
    std::vector<Waiting> waiting_; // for the store; their files are whole
    std::string space_low_;        // each: one line, or empty
    std::string disk_refuses_;
    std::string store_refuses_;
    bool told_of_held_ = false;
    bool told_of_waiting_ = false;
};

} // namespace quietpass
