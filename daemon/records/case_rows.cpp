#include "daemon/records/case_rows.h"

#include <SQLiteCpp/Statement.h>

#include <string>

#include "daemon/ledger/ledger.h"

namespace quietpass {

namespace {

void bind(SQLite::Statement& statement, int index, const std::optional<std::int64_t>& value) {
    if (value) statement.bind(index, *value); // else it stays NULL
}

std::optional<std::int64_t> integer_at(SQLite::Statement& statement, int index) {
    const SQLite::Column column = statement.getColumn(index);
    if (column.isNull()) return std::nullopt;
    return column.getInt64();
}

std::vector<CaseEvent> events_of(SQLite::Database& database, std::int64_t case_id) {
    SQLite::Statement query(database,
                            "SELECT case_id, utc_ns, entered_by, event, text, shift_id, passage_id, call_id, "
                            "clip_id FROM case_events WHERE case_id = ? ORDER BY seq");
    query.bind(1, case_id);
    std::vector<CaseEvent> events;
    while (query.executeStep()) {
        events.push_back({query.getColumn(0).getInt64(), query.getColumn(1).getInt64(),
                          query.getColumn(2).getString(), query.getColumn(3).getString(),
                          query.getColumn(4).getString(), integer_at(query, 5), integer_at(query, 6),
                          integer_at(query, 7), integer_at(query, 8)});
    }
    return events;
}

constexpr const char* kCaseColumns =
    "SELECT case_id, reference, asked_by, from_utc_ns, to_utc_ns, entered_by, utc_ns, note FROM cases ";

CaseFile case_in(SQLite::Statement& query) {
    CaseFile file;
    file.id = query.getColumn(0).getInt64();
    file.reference = query.getColumn(1).getString();
    file.asked_by = query.getColumn(2).getString();
    file.from_utc_ns = integer_at(query, 3);
    file.to_utc_ns = integer_at(query, 4);
    file.by = query.getColumn(5).getString();
    file.utc_ns = query.getColumn(6).getInt64();
    file.note = query.getColumn(7).getString();
    return file;
}

} // namespace

std::int64_t add_case(SQLite::Database& database, const CaseFile& opened) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    const std::int64_t id = database.execAndGet("SELECT coalesce(max(case_id), 0) + 1 FROM cases").getInt64();
    SQLite::Statement insert(database,
                             "INSERT INTO cases (seq, case_id, reference, asked_by, from_utc_ns, to_utc_ns, "
                             "entered_by, utc_ns, note) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, id);
    insert.bind(3, opened.reference);
    insert.bind(4, opened.asked_by);
    bind(insert, 5, opened.from_utc_ns);
    bind(insert, 6, opened.to_utc_ns);
    insert.bind(7, opened.by);
    insert.bind(8, opened.utc_ns);
    insert.bind(9, opened.note);
    insert.exec();
    ledger.record("cases", seq);
    return id;
}

void add_case_event(SQLite::Database& database, const CaseEvent& event) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO case_events (seq, case_id, utc_ns, entered_by, event, text, "
                             "shift_id, passage_id, call_id, clip_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, event.case_id);
    insert.bind(3, event.utc_ns);
    insert.bind(4, event.by);
    insert.bind(5, event.event);
    insert.bind(6, event.text);
    bind(insert, 7, event.shift_id);
    bind(insert, 8, event.passage_id);
    bind(insert, 9, event.call_id);
    bind(insert, 10, event.clip_id);
    insert.exec();
    ledger.record("case_events", seq);
}

std::vector<CaseFile> read_cases(SQLite::Database& database) {
    SQLite::Statement query(database, std::string(kCaseColumns) + "ORDER BY case_id");
    std::vector<CaseFile> cases;
    while (query.executeStep()) cases.push_back(case_in(query));
    for (CaseFile& file : cases) file.events = events_of(database, file.id);
    return cases;
}

std::optional<CaseFile> read_case(SQLite::Database& database, std::int64_t case_id) {
    SQLite::Statement query(database, std::string(kCaseColumns) + "WHERE case_id = ?");
    query.bind(1, case_id);
    if (!query.executeStep()) return std::nullopt;
    CaseFile file = case_in(query);
    file.events = events_of(database, file.id);
    return file;
}

void add_clip_hold(SQLite::Database& database, const ClipHold& hold) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO clip_holds (seq, clip_id, case_id, held, utc_ns, entered_by) "
                             "VALUES (?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, hold.clip_id);
    insert.bind(3, hold.case_id);
    insert.bind(4, hold.held ? 1 : 0);
    insert.bind(5, hold.utc_ns);
    insert.bind(6, hold.by);
    insert.exec();
    ledger.record("clip_holds", seq);
}

std::vector<std::int64_t> clips_held_by(SQLite::Database& database, std::int64_t case_id) {
    SQLite::Statement query(
        database,
        "SELECT clip_id FROM clip_holds AS hold WHERE case_id = ? AND held = 1 AND seq = (SELECT "
        "max(seq) FROM clip_holds WHERE clip_id = hold.clip_id AND case_id = hold.case_id) "
        "ORDER BY clip_id");
    query.bind(1, case_id);
    std::vector<std::int64_t> clips;
    while (query.executeStep()) clips.push_back(query.getColumn(0).getInt64());
    return clips;
}

std::vector<std::pair<std::int64_t, std::int64_t>> calls_without_passage(SQLite::Database& database,
                                                                         const RecordSpan& span) {
    SQLite::Statement query(database,
                            "SELECT shift_id, call_id FROM calls WHERE passage_id IS NULL AND (?1 IS NULL OR "
                            "shift_id = ?1) AND (?2 IS NULL OR start_utc_ns >= ?2) AND (?3 IS NULL OR "
                            "start_utc_ns < ?3) ORDER BY shift_id, call_id");
    bind(query, 1, span.shift_id);
    bind(query, 2, span.from_utc_ns);
    bind(query, 3, span.to_utc_ns);
    std::vector<std::pair<std::int64_t, std::int64_t>> calls;
    while (query.executeStep()) {
        calls.emplace_back(query.getColumn(0).getInt64(), query.getColumn(1).getInt64());
    }
    return calls;
}

} // namespace quietpass
