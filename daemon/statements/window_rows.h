// The passages that a window before or after a change may hold, read out of the store: only the shifts that
// it touches, without calls and noises. passages_before and passages_after choose among them.
//
// Inside the caller's transaction. Errors: as row_reader.h. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>

#include "daemon/changes/window.h"
#include "daemon/journal/journal.h"
#include "daemon/records/span_rows.h"

namespace quietpass {

// The time from the first passage that the window can hold to the last.
RecordSpan span_before(SQLite::Database& database, std::int64_t change_utc_ns, const Window& window);
RecordSpan span_after(SQLite::Database& database, std::int64_t change_utc_ns, const Window& window);

// A span that holds the latest scored passages, so many at least where there are as many.
RecordSpan span_of_latest(SQLite::Database& database, std::int64_t passages);

// Passages in it, quickly: of all shifts that it touches.
std::int64_t passages_within(SQLite::Database& database, const RecordSpan& span);

} // namespace quietpass
