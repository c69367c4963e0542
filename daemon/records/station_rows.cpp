#include "daemon/records/station_rows.h"

#include <SQLiteCpp/Statement.h>

namespace quietpass {

namespace {

std::optional<std::int64_t> whole(const SQLite::Column& column) {
    return column.isNull() ? std::nullopt : std::optional(column.getInt64());
}

// The newest first.
std::vector<std::int64_t> last_shifts(SQLite::Database& database, int count) {
    SQLite::Statement query(database, "SELECT shift_id FROM shifts ORDER BY shift_id DESC LIMIT ?");
    query.bind(1, count);
    std::vector<std::int64_t> shifts;
    while (query.executeStep()) shifts.push_back(query.getColumn(0).getInt64());
    return shifts;
}

// The first row of the last shifts that has any: `sql` takes a shift and a word.
template <typename Row>
std::optional<Row> latest(SQLite::Database& database, int shifts, const char* sql, const std::string& word,
                          Row (*row_of)(SQLite::Statement&)) {
    SQLite::Statement query(database, sql);
    for (const std::int64_t shift_id : last_shifts(database, shifts)) {
        query.bind(1, shift_id);
        query.bind(2, word);
        if (query.executeStep()) return row_of(query);
        query.reset();
    }
    return std::nullopt;
}

LatestMinute minute_of(SQLite::Statement& query) {
    LatestMinute minute;
    minute.end_s = query.getColumn(0).getDouble();
    minute.start_utc_ns = whole(query.getColumn(1));
    if (!query.getColumn(2).isNull()) minute.sensitivity_db = query.getColumn(2).getDouble();
    int at = 3;
    for (double* value :
         {&minute.heard_s, &minute.level_db, &minute.background_db, &minute.silent_s, &minute.clipped_s,
          &minute.hum_s, &minute.wind_s, &minute.covered_s, &minute.level_far_s}) {
        *value = query.getColumn(at++).getDouble();
    }
    return minute;
}

LatestEdge edge_of(SQLite::Statement& query) {
    return {query.getColumn(0).getInt() != 0, query.getColumn(1).getDouble(), whole(query.getColumn(2))};
}

ContactTrouble trouble_of(SQLite::Statement& query) {
    return {query.getColumn(0).getString(), whole(query.getColumn(1)), query.getColumn(2).getString()};
}

} // namespace

std::optional<LatestMinute> read_latest_minute(SQLite::Database& database, const std::string& microphone) {
    return latest(database, 2,
                  "SELECT end_s, start_utc_ns, sensitivity_db, heard_s, level_db, background_db, silent_s, "
                  "clipped_s, hum_s, wind_s, covered_s, level_far_s FROM microphone_minutes WHERE shift_id = "
                  "? AND microphone = ? ORDER BY start_s DESC LIMIT 1",
                  microphone, minute_of);
}

std::optional<LatestEdge> read_latest_edge(SQLite::Database& database, const std::string& role) {
    return latest(database, 2,
                  "SELECT closed, time_s, utc_ns FROM edges WHERE shift_id = ? AND role = ? "
                  "ORDER BY time_s DESC LIMIT 1",
                  role, edge_of);
}

std::optional<ContactTrouble> read_contact_trouble(SQLite::Database& database, const std::string& contact) {
    return latest(database, 1,
                  "SELECT fault, utc_ns, detail FROM contact_faults WHERE shift_id = ? AND contact = ? "
                  "ORDER BY time_s DESC LIMIT 1",
                  contact, trouble_of);
}

LedgerHead read_ledger_head(SQLite::Database& database) {
    LedgerHead head;
    SQLite::Statement last(database, "SELECT seq, lower(hex(hash)) FROM ledger ORDER BY seq DESC LIMIT 1");
    if (last.executeStep()) {
        head.seq = last.getColumn(0).getInt64();
        head.hash = last.getColumn(1).getString();
    }
    SQLite::Statement key(database, "SELECT key_id, public_key FROM keys ORDER BY seq DESC LIMIT 1");
    if (key.executeStep()) {
        head.key_id = key.getColumn(0).getString();
        head.public_key = key.getColumn(1).getString();
    }
    SQLite::Statement signed_head(database, "SELECT of_seq, utc_ns FROM heads ORDER BY seq DESC LIMIT 1");
    if (signed_head.executeStep()) {
        head.signed_seq = signed_head.getColumn(0).getInt64();
        head.signed_utc_ns = whole(signed_head.getColumn(1));
    }
    return head;
}

std::optional<std::string> read_document(SQLite::Database& database, const std::string& kind,
                                         const std::string& sha256) {
    SQLite::Statement query(database, "SELECT text FROM documents WHERE sha256 = ? AND kind = ?");
    query.bind(1, sha256);
    query.bind(2, kind);
    if (!query.executeStep()) return std::nullopt;
    return query.getColumn(0).getString();
}

} // namespace quietpass
