#include "daemon/web/call_rows.h"

#include <SQLiteCpp/Statement.h>

namespace quietpass {

namespace {

constexpr const char* kColumns =
    "SELECT c.shift_id, c.call_id, c.microphone, c.start_s, c.end_s, c.start_utc_ns, c.species, c.kind, "
    "c.score, c.level_db, c.f0_hz, c.passage_id, c.phase, c.counted, c.reason, c.terms, "
    "(SELECT k.clip_id FROM clips k WHERE k.shift_id = c.shift_id AND k.call_id = c.call_id AND NOT EXISTS "
    "(SELECT 1 FROM clip_deletions d WHERE d.clip_id = k.clip_id) ORDER BY k.clip_id LIMIT 1) "
    "FROM calls c ";

// Some finding on it that is no withdrawal and was not withdrawn.
constexpr const char* kJudged =
    "EXISTS (SELECT 1 FROM findings f WHERE f.shift_id = c.shift_id AND f.call_id = c.call_id AND "
    "f.withdraws IS NULL AND NOT EXISTS (SELECT 1 FROM findings w WHERE w.withdraws = f.finding_id))";

template <typename Value>
void bind(SQLite::Statement& statement, int at, const std::optional<Value>& value) {
    if (value)
        statement.bind(at, static_cast<std::int64_t>(*value));
    else
        statement.bind(at);
}

void bind(SQLite::Statement& statement, int at, const std::string& word) {
    if (word.empty())
        statement.bind(at);
    else
        statement.bind(at, word);
}

std::optional<std::int64_t> whole(const SQLite::Column& column) {
    return column.isNull() ? std::nullopt : std::optional(column.getInt64());
}

std::optional<double> real(const SQLite::Column& column) {
    return column.isNull() ? std::nullopt : std::optional(column.getDouble());
}

ListedCall call_of(SQLite::Statement& query) {
    ListedCall call;
    call.shift_id = query.getColumn(0).getInt64();
    call.call_id = query.getColumn(1).getInt64();
    call.microphone = query.getColumn(2).getString();
    call.start_s = query.getColumn(3).getDouble();
    call.end_s = query.getColumn(4).getDouble();
    call.start_utc_ns = whole(query.getColumn(5));
    call.species = query.getColumn(6).getString();
    call.kind = query.getColumn(7).getString();
    call.score = query.getColumn(8).getDouble();
    call.level_db = query.getColumn(9).getDouble();
    call.f0_hz = query.getColumn(10).getDouble();
    call.passage_id = whole(query.getColumn(11));
    call.phase = query.getColumn(12).getString();
    call.counted = query.getColumn(13).getInt() != 0;
    call.reason = query.getColumn(14).getString();
    call.terms = query.getColumn(15).getString();
    call.clip_id = whole(query.getColumn(16));
    return call;
}

} // namespace

std::vector<ListedCall> read_calls_listed(SQLite::Database& database, const CallFilter& filter) {
    // Said outright where it is asked for, so that the index of shifts and calls is used.
    const std::string in_shift = filter.shift_id ? "WHERE c.shift_id = ?1 AND " : "WHERE ?1 IS NULL AND ";
    SQLite::Statement query(
        database, kColumns + in_shift +
                      "(?2 IS NULL OR c.passage_id = ?2) AND (?3 IS NULL OR c.counted = ?3) AND "
                      "(?4 IS NULL OR " +
                      kJudged +
                      " = ?4) AND (?5 IS NULL OR c.kind = ?5) AND (?6 IS NULL OR c.phase = ?6) AND "
                      "(?7 IS NULL OR c.start_utc_ns >= ?7) AND (?8 IS NULL OR c.start_utc_ns < ?8) AND "
                      "(?9 IS NULL OR (c.shift_id, c.call_id) < (?9, ?10)) "
                      "ORDER BY c.shift_id DESC, c.call_id DESC LIMIT ?11");
    bind(query, 1, filter.shift_id);
    bind(query, 2, filter.passage_id);
    bind(query, 3, filter.counted);
    bind(query, 4, filter.judged);
    bind(query, 5, filter.kind);
    bind(query, 6, filter.phase);
    bind(query, 7, filter.from_utc_ns);
    bind(query, 8, filter.to_utc_ns);
    bind(query, 9, filter.before_shift);
    bind(query, 10, filter.before_call);
    query.bind(11, filter.most);
    std::vector<ListedCall> calls;
    while (query.executeStep()) calls.push_back(call_of(query));
    return calls;
}

std::optional<ListedCall> read_call(SQLite::Database& database, std::int64_t shift_id, std::int64_t call_id) {
    SQLite::Statement query(database, std::string(kColumns) + "WHERE c.shift_id = ? AND c.call_id = ?");
    query.bind(1, shift_id);
    query.bind(2, call_id);
    if (!query.executeStep()) return std::nullopt;
    return call_of(query);
}

std::optional<CallPassage> read_call_passage(SQLite::Database& database, std::int64_t shift_id,
                                             std::int64_t passage_id) {
    SQLite::Statement query(database,
                            "SELECT entered_s, end_s, body_held_s, held_s, stunned_s, released_s, vocal, "
                            "covered, excluded FROM passages WHERE shift_id = ? AND passage_id = ?");
    query.bind(1, shift_id);
    query.bind(2, passage_id);
    if (!query.executeStep()) return std::nullopt;
    return CallPassage{
        query.getColumn(0).getDouble(),   query.getColumn(1).getDouble(),   real(query.getColumn(2)),
        real(query.getColumn(3)),         real(query.getColumn(4)),         real(query.getColumn(5)),
        query.getColumn(6).getInt() != 0, query.getColumn(7).getInt() != 0, query.getColumn(8).getString()};
}

std::vector<CallEdge> read_call_edges(SQLite::Database& database, std::int64_t shift_id, double from_s,
                                      double to_s) {
    constexpr int kMost = 1000; // a chattering contact
    SQLite::Statement query(database,
                            "SELECT time_s, role, closed FROM edges WHERE shift_id = ? AND time_s >= ? AND "
                            "time_s <= ? ORDER BY time_s LIMIT ?");
    query.bind(1, shift_id);
    query.bind(2, from_s);
    query.bind(3, to_s);
    query.bind(4, kMost);
    std::vector<CallEdge> edges;
    while (query.executeStep()) {
        edges.push_back({query.getColumn(0).getDouble(), query.getColumn(1).getString(),
                         query.getColumn(2).getInt() != 0});
    }
    return edges;
}

} // namespace quietpass
