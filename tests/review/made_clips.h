// Clips of a made store's calls: the rows as the daemon writes them, the files where a test wants some. One
// thread.
#pragma once

#include <string>

#include "daemon/records/clip_rows.h"
#include "daemon/records/store.h"

namespace quietpass {

struct MadeClip {
    std::int64_t clip_id = 0;
    std::int64_t shift_id = 0;
    ClipWhy why = ClipWhy::kCall;
    std::optional<std::int64_t> passage_id{};
    std::optional<std::int64_t> call_id{};
    double start_s = 0.0;
    double end_s = 0.0;
    std::optional<std::int64_t> start_utc_ns{};
    std::string file = "clips/none.flac";
    std::string sha256 = "none";
    std::string microphones = "head";
};

inline void add_clip(Store& store, const MadeClip& made) {
    ClipRow clip;
    clip.clip_id = made.clip_id;
    clip.shift_id = made.shift_id;
    clip.why = made.why;
    clip.passage_id = made.passage_id;
    clip.call_id = made.call_id;
    clip.microphones = made.microphones;
    clip.start_s = made.start_s;
    clip.end_s = made.end_s;
    clip.start_utc_ns = made.start_utc_ns;
    clip.rate_hz = 16000;
    clip.file = made.file;
    clip.sha256 = made.sha256;
    store.change([&](SQLite::Database& database) { add_clip(database, clip); });
}

inline void delete_clip(Store& store, std::int64_t clip_id) {
    store.change([&](SQLite::Database& database) {
        record_deletion(database, {clip_id, 1, DeletedWhy::kPerson, "A. Lead", "a test"});
    });
}

} // namespace quietpass
