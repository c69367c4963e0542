// The tables cases, case_events and clip_holds. FORMATS.md has the
// columns. Within the caller's transaction (Store::change, Store::read). Errors: SQLite::Exception. One
// thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/records/case_file.h"
#include "daemon/records/span_rows.h"

namespace quietpass {

std::int64_t add_case(SQLite::Database& database, const CaseFile& opened); // gives its id
void add_case_event(SQLite::Database& database, const CaseEvent& event);

std::optional<CaseFile> read_case(SQLite::Database& database, std::int64_t case_id);
std::vector<CaseFile> read_cases(SQLite::Database& database); // in the order opened

struct ClipHold {
    std::int64_t clip_id = 0;
    std::int64_t case_id = 0;
    bool held = true;
    std::int64_t utc_ns = 0;
    std::string by;
};

void add_clip_hold(SQLite::Database& database, const ClipHold& hold);

// The clips that this case holds now, by number.
std::vector<std::int64_t> clips_held_by(SQLite::Database& database, std::int64_t case_id);

// Shift and number of the calls that began in the span while no animal was in the restrainer, or were a
// waiting one's.
std::vector<std::pair<std::int64_t, std::int64_t>> calls_without_passage(SQLite::Database& database,
                                                                         const RecordSpan& span);

} // namespace quietpass
