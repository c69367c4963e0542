#include "daemon/statements/span_facts.h"

#include "daemon/records/people_rows.h"

namespace quietpass {

std::vector<PassageFacts> read_facts(SQLite::Database& database, const RecordSpan& span, SpanDetail detail) {
    const Journal journal(read_journal(database));
    return facts_of(read_span_within(database, span, detail), journal, span);
}

} // namespace quietpass
