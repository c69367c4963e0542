// What is known of the passages of a span, read out of the store. Inside the caller's transaction. Errors: as
// row_reader.h. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <vector>

#include "daemon/factors/passage_facts.h"
#include "daemon/journal/journal.h"
#include "daemon/records/span_reader.h"

namespace quietpass {

// What of the journal can hold in these shifts: of ten years' entries a few.
Journal journal_of(SQLite::Database& database, const std::vector<StoredShift>& shifts);

// Without detail, in which phase an animal was vocal and its noises are not known.
std::vector<PassageFacts> read_facts(SQLite::Database& database, const RecordSpan& span,
                                     SpanDetail detail = SpanDetail::kAll);

} // namespace quietpass
