// SQL to SpanRows, all of it from one moment of the store. Errors: as row_reader.h. Not thread-safe.
#pragma once

#include <SQLiteCpp/Database.h>

#include "daemon/records/span_rows.h"

namespace quietpass {

// One shift's; inside the caller's transaction.
SpanRows read_passages_of(SQLite::Database& database, const StoredShift& shift);

SpanRows read_span(SQLite::Database& database, const RecordSpan& span);

} // namespace quietpass
