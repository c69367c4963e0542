#include "daemon/statements/window_rows.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <limits>

namespace quietpass {

namespace {

constexpr std::int64_t kEver = std::numeric_limits<std::int64_t>::max();

// The start of the shift that the latest so many scored passages before a moment go back to.
std::optional<std::int64_t> start_of_last(SQLite::Database& database, std::int64_t before_utc_ns,
                                          std::int64_t passages) {
    SQLite::Statement query(database,
                            "SELECT s.start_utc_ns, (SELECT count(*) FROM passages p WHERE p.shift_id = "
                            "s.shift_id AND p.excluded = '' AND p.entered_utc_ns < ?1) FROM shifts s "
                            "WHERE s.start_utc_ns < ?1 ORDER BY s.start_utc_ns DESC");
    query.bind(1, before_utc_ns);
    std::int64_t counted = 0;
    while (query.executeStep()) {
        counted += query.getColumn(1).getInt64();
        if (counted >= passages) return query.getColumn(0).getInt64();
    }
    return std::nullopt;
}

// A moment after the next so many scored passages from a moment on. Shifts may be without an end: the one
// that goes on, and those of a killed run.
std::optional<std::int64_t> end_of_next(SQLite::Database& database, std::int64_t from_utc_ns,
                                        std::int64_t passages) {
    SQLite::Statement query(
        database,
        "SELECT count(*), max(p.entered_utc_ns) FROM shifts s LEFT JOIN shift_records r USING (shift_id) "
        "JOIN passages p ON p.shift_id = s.shift_id WHERE s.start_utc_ns = ?2 AND (r.end_utc_ns IS NULL OR "
        "r.end_utc_ns >= ?1) AND p.excluded = '' AND p.entered_utc_ns >= ?1");
    SQLite::Statement starts(
        database,
        "SELECT DISTINCT s.start_utc_ns FROM shifts s LEFT JOIN shift_records r USING (shift_id) WHERE "
        "s.start_utc_ns IS NOT NULL AND (r.end_utc_ns IS NULL OR r.end_utc_ns >= ?) ORDER BY s.start_utc_ns");
    starts.bind(1, from_utc_ns);
    query.bind(1, from_utc_ns);
    std::int64_t counted = 0;
    std::int64_t latest = from_utc_ns;
    while (starts.executeStep()) {
        query.bind(2, starts.getColumn(0).getInt64());
        if (query.executeStep() && query.getColumn(0).getInt64() > 0) {
            counted += query.getColumn(0).getInt64();
            latest = std::max(latest, query.getColumn(1).getInt64());
        }
        query.reset();
        if (counted >= passages) return latest + 1;
    }
    return std::nullopt;
}

} // namespace

RecordSpan span_before(SQLite::Database& database, std::int64_t change_utc_ns, const Window& window) {
    RecordSpan span{window.from_utc_ns, window.to_utc_ns, {}};
    span.to_utc_ns = std::min(span.to_utc_ns.value_or(change_utc_ns), change_utc_ns);
    if (window.length_ns) span.from_utc_ns = change_utc_ns - *window.length_ns;
    if (window.passages) span.from_utc_ns = start_of_last(database, change_utc_ns, *window.passages);
    return span;
}

RecordSpan span_after(SQLite::Database& database, std::int64_t change_utc_ns, const Window& window) {
    RecordSpan span{window.from_utc_ns, window.to_utc_ns, {}};
    span.from_utc_ns = std::max(span.from_utc_ns.value_or(change_utc_ns), change_utc_ns);
    if (window.length_ns) span.to_utc_ns = change_utc_ns + *window.length_ns;
    if (window.passages) span.to_utc_ns = end_of_next(database, change_utc_ns, *window.passages);
    return span;
}

RecordSpan span_of_latest(SQLite::Database& database, std::int64_t passages) {
    return {start_of_last(database, kEver, passages), std::nullopt, {}};
}

std::int64_t passages_within(SQLite::Database& database, const RecordSpan& span) {
    SQLite::Statement query(
        database,
        "SELECT coalesce(sum((SELECT count(*) FROM passages p WHERE p.shift_id = s.shift_id)), 0) FROM "
        "shifts s LEFT JOIN shift_records r USING (shift_id) WHERE (?1 IS NULL OR s.shift_id = ?1) AND "
        "((?2 IS NULL AND ?3 IS NULL) OR (s.start_utc_ns IS NOT NULL AND (?3 IS NULL OR s.start_utc_ns < "
        "?3) AND (?2 IS NULL OR r.end_utc_ns IS NULL OR r.end_utc_ns >= ?2)))");
    const auto bind = [&query](int at, const std::optional<std::int64_t>& value) {
        if (value) query.bind(at, *value);
    };
    bind(1, span.shift_id);
    bind(2, span.from_utc_ns);
    bind(3, span.to_utc_ns);
    return query.executeStep() ? query.getColumn(0).getInt64() : 0;
}

} // namespace quietpass
