#include "daemon/statements/span_facts.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "daemon/records/people_rows.h"

namespace quietpass {

Journal journal_of(SQLite::Database& database, const std::vector<StoredShift>& shifts) {
    std::optional<std::int64_t> from_ns;
    std::int64_t to_ns = std::numeric_limits<std::int64_t>::min();
    for (const StoredShift& shift : shifts) {
        if (!shift.start_utc_ns) continue; // files without a date, in which no entry holds
        from_ns = std::min(from_ns.value_or(*shift.start_utc_ns), *shift.start_utc_ns);
        to_ns = std::max(to_ns, shift.end_utc_ns.value_or(std::numeric_limits<std::int64_t>::max()));
    }
    return Journal(from_ns ? read_journal_between(database, *from_ns, to_ns) : std::vector<JournalEntry>());
}

std::vector<PassageFacts> read_facts(SQLite::Database& database, const RecordSpan& span, SpanDetail detail) {
    SpanRows rows = read_span_within(database, span, detail);
    const Journal journal = journal_of(database, rows.shifts);
    return facts_of(std::move(rows), journal, span);
}

} // namespace quietpass
