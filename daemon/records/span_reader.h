// SQL to SpanRows, all of it from one moment of the store. Errors: as row_reader.h. Not thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include "daemon/records/span_rows.h"

namespace quietpass {

// What is read: passages, with their calls, with noises too. Passages alone take a third of the time.
enum class SpanDetail { kPassages, kCalls, kAll };

// One shift's; inside the caller's transaction.
SpanRows read_passages_of(SQLite::Database& database, const StoredShift& shift,
                          SpanDetail detail = SpanDetail::kAll);

SpanRows read_span(SQLite::Database& database, const RecordSpan& span);

// The newest shifts, oldest of them first, as many as hold `count` passages (`vocal`: scored ones that were
// vocal); all when the store has fewer.
SpanRows read_newest_passages(SQLite::Database& database, std::int64_t count, bool vocal);

// The same as read_span() inside the caller's transaction.
SpanRows read_span_within(SQLite::Database& database, const RecordSpan& span,
                          SpanDetail detail = SpanDetail::kAll);

} // namespace quietpass
