#include "daemon/records/clip_rows.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <stdexcept>

#include "daemon/ledger/ledger.h"
#include "daemon/records/null_columns.h"

namespace quietpass {

namespace {

constexpr const char* kColumns =
    "c.clip_id, c.shift_id, c.why, c.passage_id, c.call_id, c.alarm_id, c.microphones, c.start_s, c.end_s, "
    "c.start_utc_ns, c.rate_hz, c.bytes, c.file, c.sha256";

// The last row of a clip and a case says whether that case holds it.
constexpr const char* kHeld =
    "EXISTS (SELECT 1 FROM clip_holds h WHERE h.clip_id = c.clip_id AND h.held = 1 AND h.seq = "
    "(SELECT max(last.seq) FROM clip_holds last WHERE last.clip_id = h.clip_id AND last.case_id = "
    "h.case_id))";

template <typename Why>
Why known(const std::optional<Why>& why, const SQLite::Column& column) {
    if (!why) throw std::runtime_error("unknown word \"" + column.getString() + "\" in clips");
    return *why;
}

ClipRow row_of(SQLite::Statement& query) {
    ClipRow row;
    row.clip_id = query.getColumn(0).getInt64();
    row.shift_id = query.getColumn(1).getInt64();
    row.why = known(clip_why_from(query.getColumn(2).getString()), query.getColumn(2));
    row.passage_id = whole_or_null(query.getColumn(3));
    row.call_id = whole_or_null(query.getColumn(4));
    row.alarm_id = whole_or_null(query.getColumn(5));
    row.microphones = query.getColumn(6).getString();
    row.start_s = query.getColumn(7).getDouble();
    row.end_s = query.getColumn(8).getDouble();
    row.start_utc_ns = whole_or_null(query.getColumn(9));
    row.rate_hz = query.getColumn(10).getInt64();
    row.bytes = query.getColumn(11).getInt64();
    row.file = query.getColumn(12).getString();
    row.sha256 = query.getColumn(13).getString();
    return row;
}

bool any(SQLite::Database& database, const std::string& sql, std::int64_t clip_id) {
    SQLite::Statement query(database, sql);
    query.bind(1, clip_id);
    return query.executeStep();
}

} // namespace

std::int64_t next_clip_id(SQLite::Database& database) {
    return database.execAndGet("SELECT coalesce(max(clip_id), 0) + 1 FROM clips").getInt64();
}

void add_clip(SQLite::Database& database, const ClipRow& row) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO clips (seq, clip_id, shift_id, why, passage_id, call_id, alarm_id, "
                             "microphones, start_s, "
                             "end_s, start_utc_ns, rate_hz, bytes, file, sha256) VALUES (?, ?, ?, ?, ?, ?, "
                             "?, ?, ?, ?, ?, ?, ?, ?, "
                             "?) ON CONFLICT (clip_id) DO NOTHING");
    insert.bind(1, seq);
    insert.bind(2, row.clip_id);
    insert.bind(3, row.shift_id);
    insert.bind(4, std::string(name_of(row.why)));
    bind_or_null(insert, 5, row.passage_id);
    bind_or_null(insert, 6, row.call_id);
    bind_or_null(insert, 7, row.alarm_id);
    insert.bind(8, row.microphones);
    insert.bind(9, row.start_s);
    insert.bind(10, row.end_s);
    bind_or_null(insert, 11, row.start_utc_ns);
    insert.bind(12, row.rate_hz);
    insert.bind(13, row.bytes);
    insert.bind(14, row.file);
    insert.bind(15, row.sha256);
    if (insert.exec() > 0) ledger.record("clips", seq);
}

Deleting record_deletion(SQLite::Database& database, const ClipDeletion& deletion) {
    if (!any(database, "SELECT 1 FROM clips WHERE clip_id = ?", deletion.clip_id)) return Deleting::kUnknown;
    if (any(database, "SELECT 1 FROM clip_deletions WHERE clip_id = ?", deletion.clip_id))
        return Deleting::kDeletedAlready;
    if (any(database, std::string("SELECT 1 FROM clips c WHERE c.clip_id = ? AND ") + kHeld,
            deletion.clip_id))
        return Deleting::kHeld;
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO clip_deletions (seq, clip_id, utc_ns, why, entered_by, reason) "
                             "VALUES (?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, deletion.clip_id);
    insert.bind(3, deletion.utc_ns);
    insert.bind(4, std::string(name_of(deletion.why)));
    insert.bind(5, deletion.by);
    if (deletion.reason.empty())
        insert.bind(6);
    else
        insert.bind(6, deletion.reason);
    insert.exec();
    ledger.record("clip_deletions", seq);
    return Deleting::kRecorded;
}

std::vector<StoredClip> read_clips(SQLite::Database& database, const ClipFilter& filter) {
    // Said outright where it is asked for, so that its index is used.
    const std::string which = filter.clip_id    ? "c.clip_id = ?6 AND "
                              : filter.shift_id ? "c.shift_id = ?3 AND "
                                                : "";
    SQLite::Statement query(
        database,
        std::string("SELECT ") + kColumns + ", " + kHeld +
            ", d.utc_ns, d.why, d.entered_by, d.reason FROM clips c "
            "LEFT JOIN clip_deletions d ON d.clip_id = c.clip_id WHERE " +
            which +
            "(?1 IS NULL OR c.start_utc_ns + CAST((c.end_s - c.start_s) * 1e9 AS INTEGER) > ?1) AND "
            "(?2 IS NULL OR c.start_utc_ns < ?2) AND (?3 IS NULL OR c.shift_id = ?3) AND "
            "(?4 IS NULL OR c.passage_id = ?4) AND (?5 IS NULL OR c.call_id = ?5) AND "
            "(?6 IS NULL OR c.clip_id = ?6) AND (?7 IS NULL OR c.why = ?7) AND "
            "(?8 = 1 OR d.clip_id IS NULL) ORDER BY c.start_utc_ns, c.clip_id");
    bind_or_null(query, 1, filter.from_utc_ns);
    bind_or_null(query, 2, filter.to_utc_ns);
    bind_or_null(query, 3, filter.shift_id);
    bind_or_null(query, 4, filter.passage_id);
    bind_or_null(query, 5, filter.call_id);
    bind_or_null(query, 6, filter.clip_id);
    if (filter.why) query.bind(7, std::string(name_of(*filter.why)));
    query.bind(8, filter.deleted_too ? 1 : 0);
    std::vector<StoredClip> clips;
    while (query.executeStep()) {
        StoredClip& clip = clips.emplace_back();
        clip.row = row_of(query);
        clip.held = query.getColumn(14).getInt() != 0;
        if (query.getColumn(15).isNull()) continue;
        clip.deletion =
            ClipDeletion{clip.row.clip_id, query.getColumn(15).getInt64(),
                         known(deleted_why_from(query.getColumn(16).getString()), query.getColumn(16)),
                         query.getColumn(17).getString(), query.getColumn(18).getString()};
    }
    return clips;
}

std::vector<std::int64_t> held_clips(SQLite::Database& database) {
    SQLite::Statement query(database,
                            "SELECT DISTINCT h.clip_id FROM clip_holds h WHERE h.held = 1 AND h.seq = "
                            "(SELECT max(last.seq) FROM clip_holds last WHERE last.clip_id = h.clip_id AND "
                            "last.case_id = h.case_id)");
    std::vector<std::int64_t> clips;
    while (query.executeStep()) clips.push_back(query.getColumn(0).getInt64());
    return clips;
}

std::vector<std::string> files_of_deleted_clips(SQLite::Database& database) {
    SQLite::Statement query(database,
                            "SELECT c.file FROM clip_deletions d JOIN clips c ON c.clip_id = d.clip_id");
    std::vector<std::string> files;
    while (query.executeStep()) files.push_back(query.getColumn(0).getString());
    return files;
}

ClipNews read_clip_news(SQLite::Database& database, std::int64_t after_seq) {
    ClipNews news;
    news.last_seq = after_seq;
    SQLite::Statement added(database,
                            std::string("SELECT ") + kColumns + ", c.seq FROM clips c WHERE c.seq > ?");
    added.bind(1, after_seq);
    while (added.executeStep()) {
        news.added.push_back(row_of(added));
        news.last_seq = std::max(news.last_seq, added.getColumn(14).getInt64());
    }
    SQLite::Statement deleted(database, "SELECT clip_id, seq FROM clip_deletions WHERE seq > ?");
    deleted.bind(1, after_seq);
    while (deleted.executeStep()) {
        news.deleted.push_back(deleted.getColumn(0).getInt64());
        news.last_seq = std::max(news.last_seq, deleted.getColumn(1).getInt64());
    }
    return news;
}

} // namespace quietpass
