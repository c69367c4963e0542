// SQL of clips, their deletions and holds. Rows are only added. A clip's row is there only when its file is
// whole on the disk; that it was deleted stands in the store before its file goes.
//
// What changes runs inside Store::change(), what reads inside Store::read(). Errors: SQLite::Exception;
// std::runtime_error for a word in the store that this program doesn't know. Not thread-safe.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/clip_why.h"

namespace SQLite {
class Database;
}

namespace quietpass {

struct ClipRow {
    std::int64_t clip_id = 0;
    std::int64_t shift_id = 0;
    ClipWhy why = ClipWhy::kCall;
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::optional<std::int64_t> alarm_id;
    std::string microphones; // their names, in the order of the file's channels, joined by ','
    double start_s = 0.0;    // station seconds of the first frame …
    double end_s = 0.0;      // … and after the last
    std::optional<std::int64_t> start_utc_ns;
    std::int64_t rate_hz = 0;
    std::int64_t bytes = 0;
    std::string file;   // within the records' folder
    std::string sha256; // of the file, lower-case hex
};

struct ClipDeletion {
    std::int64_t clip_id = 0;
    std::int64_t utc_ns = 0;
    DeletedWhy why = DeletedWhy::kAge;
    std::string by;     // a person's name; empty: the machine
    std::string reason; // a person's
};

// A clip with all that became of it.
struct StoredClip {
    ClipRow row;
    std::optional<ClipDeletion> deletion;
    bool held = false; // by a case: never deleted
};

struct ClipFilter {
    std::optional<std::int64_t> from_utc_ns; // clips that end later than this …
    std::optional<std::int64_t> to_utc_ns;   // … and start earlier than this
    std::optional<std::int64_t> shift_id;
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::optional<std::int64_t> clip_id;
    std::optional<ClipWhy> why;
    bool deleted_too = false;
};

std::int64_t next_clip_id(SQLite::Database& database);

// A clip that is there already is kept as it is.
void add_clip(SQLite::Database& database, const ClipRow& row);

// kHeld: a case holds it, and nothing was recorded.
enum class Deleting { kRecorded, kDeletedAlready, kHeld, kUnknown };
Deleting record_deletion(SQLite::Database& database, const ClipDeletion& deletion);

// By start, then id.
std::vector<StoredClip> read_clips(SQLite::Database& database, const ClipFilter& filter);

// Ids of clips that a case holds.
std::vector<std::int64_t> held_clips(SQLite::Database& database);

// Files of clips that were deleted.
std::vector<std::string> files_of_deleted_clips(SQLite::Database& database);

// What came since the record of this number, of whichever process.
struct ClipNews {
    std::int64_t last_seq = 0;
    std::vector<ClipRow> added;
    std::vector<std::int64_t> deleted;
};
ClipNews read_clip_news(SQLite::Database& database, std::int64_t after_seq);

} // namespace quietpass
