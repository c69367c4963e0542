#include "daemon/records/people_rows.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <algorithm>
#include <limits>
#include <stdexcept>
#include <string>

#include "daemon/ledger/ledger.h"
#include "daemon/records/audit_event_rows.h"

namespace quietpass {

namespace {

void bind(SQLite::Statement& statement, int index, const std::optional<std::int64_t>& value) {
    if (value) {
        statement.bind(index, *value);
    } else {
        statement.bind(index);
    }
}

std::optional<std::int64_t> integer_at(SQLite::Statement& statement, int index) {
    const SQLite::Column column = statement.getColumn(index);
    if (column.isNull()) return std::nullopt;
    return column.getInt64();
}

// One more than any: as rows are never deleted, no number is given twice.
std::int64_t next_id(SQLite::Database& database, const std::string& column, const std::string& table) {
    return database.execAndGet("SELECT coalesce(max(" + column + "), 0) + 1 FROM " + table).getInt64();
}

EntryKind kind_named(const std::string& word) {
    for (const EntryKind kind :
         {EntryKind::kLot, EntryKind::kLotEnd, EntryKind::kNote, EntryKind::kChange, EntryKind::kWithdrawn}) {
        if (name_of(kind) == word) return kind;
    }
    throw std::runtime_error("unknown kind of journal entry \"" + word + "\"");
}

} // namespace

std::int64_t add_entry(SQLite::Database& database, const JournalEntry& entry) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    const std::int64_t id = next_id(database, "entry_id", "journal");
    SQLite::Statement insert(database,
                             "INSERT INTO journal (seq, entry_id, kind, at_utc_ns, until_utc_ns, text, "
                             "station_part, entered_by, added_utc_ns, withdraws) "
                             "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, id);
    insert.bind(3, std::string(name_of(entry.kind)));
    insert.bind(4, entry.at_utc_ns);
    bind(insert, 5, entry.until_utc_ns);
    insert.bind(6, entry.text);
    insert.bind(7, entry.station_part);
    insert.bind(8, entry.by);
    insert.bind(9, entry.added_utc_ns);
    bind(insert, 10, entry.withdraws);
    insert.exec();
    ledger.record("journal", seq);
    return id;
}

namespace {

constexpr const char* kJournalColumns =
    "SELECT entry_id, kind, at_utc_ns, until_utc_ns, text, station_part, entered_by, added_utc_ns, withdraws "
    "FROM journal ";

std::vector<JournalEntry> entries_in(SQLite::Statement& query) {
    std::vector<JournalEntry> entries;
    while (query.executeStep()) {
        JournalEntry entry;
        entry.id = query.getColumn(0).getInt64();
        entry.kind = kind_named(query.getColumn(1).getString());
        entry.at_utc_ns = query.getColumn(2).getInt64();
        entry.until_utc_ns = integer_at(query, 3);
        entry.text = query.getColumn(4).getString();
        entry.station_part = query.getColumn(5).getString();
        entry.by = query.getColumn(6).getString();
        entry.added_utc_ns = query.getColumn(7).getInt64();
        entry.withdraws = integer_at(query, 8);
        entries.push_back(entry);
    }
    return entries;
}

} // namespace

std::vector<JournalEntry> read_journal(SQLite::Database& database) {
    SQLite::Statement query(database, std::string(kJournalColumns) + "ORDER BY entry_id");
    return entries_in(query);
}

std::optional<JournalEntry> read_entry_in_force(SQLite::Database& database, std::int64_t id) {
    SQLite::Statement query(database, std::string(kJournalColumns) +
                                          "WHERE entry_id = ?1 AND kind <> 'withdrawn' AND NOT EXISTS "
                                          "(SELECT 1 FROM journal WHERE withdraws = ?1)");
    query.bind(1, id);
    const std::vector<JournalEntry> found = entries_in(query);
    return found.empty() ? std::nullopt : std::optional(found.front());
}

std::vector<JournalEntry> read_newest_entries(SQLite::Database& database, const NewestEntries& wish) {
    // Its moment, also where it was withdrawn meanwhile.
    std::optional<std::int64_t> before_utc_ns;
    if (wish.before) {
        SQLite::Statement at(database, "SELECT at_utc_ns FROM journal WHERE entry_id = ?");
        at.bind(1, *wish.before);
        if (!at.executeStep()) return {};
        before_utc_ns = at.getColumn(0).getInt64();
    }
    std::string kinds;
    for (const EntryKind kind : wish.kinds)
        kinds += (kinds.empty() ? "'" : ", '") + std::string(name_of(kind)) + "'";
    SQLite::Statement query(
        database, std::string(kJournalColumns) + "AS j WHERE kind IN (" + kinds +
                      ") AND NOT EXISTS (SELECT 1 FROM journal w WHERE w.withdraws = j.entry_id) AND "
                      "at_utc_ns <= ?1 AND (at_utc_ns < ?1 OR entry_id < ?2) AND at_utc_ns >= ?3 "
                      "ORDER BY at_utc_ns DESC, entry_id DESC LIMIT ?4");
    constexpr std::int64_t kEver = std::numeric_limits<std::int64_t>::max();
    query.bind(1, std::min(before_utc_ns.value_or(kEver), wish.to_utc_ns ? *wish.to_utc_ns - 1 : kEver));
    query.bind(2,
               before_utc_ns && (!wish.to_utc_ns || *before_utc_ns < *wish.to_utc_ns) ? *wish.before : kEver);
    query.bind(3, wish.from_utc_ns.value_or(std::numeric_limits<std::int64_t>::min()));
    query.bind(4, wish.most);
    return entries_in(query);
}

std::optional<std::int64_t> lot_end(SQLite::Database& database, const JournalEntry& lot) {
    SQLite::Statement query(
        database,
        "SELECT at_utc_ns FROM journal AS j WHERE kind IN ('lot', 'lot_end') AND at_utc_ns >= ?1 AND "
        "(at_utc_ns > ?1 OR entry_id > ?2) AND NOT EXISTS (SELECT 1 FROM journal w WHERE w.withdraws = "
        "j.entry_id) ORDER BY at_utc_ns LIMIT 1");
    query.bind(1, lot.at_utc_ns);
    query.bind(2, lot.id);
    return query.executeStep() ? std::optional(query.getColumn(0).getInt64()) : std::nullopt;
}

std::vector<JournalEntry> read_journal_between(SQLite::Database& database, std::int64_t from_utc_ns,
                                               std::int64_t to_utc_ns) {
    const std::string in_force =
        "kind <> 'withdrawn' AND entry_id NOT IN (SELECT withdraws FROM journal WHERE withdraws IS NOT NULL)";
    SQLite::Statement query(
        database,
        std::string(kJournalColumns) + "WHERE " + in_force +
            " AND at_utc_ns < ?2 AND (at_utc_ns >= ?1 OR (kind = 'note' AND until_utc_ns >= ?1) OR "
            "entry_id = (SELECT entry_id FROM journal WHERE kind IN ('lot', 'lot_end') AND " +
            in_force +
            " AND at_utc_ns < ?1 ORDER BY at_utc_ns DESC, entry_id DESC LIMIT 1)) ORDER BY entry_id");
    query.bind(1, from_utc_ns);
    query.bind(2, to_utc_ns);
    return entries_in(query);
}

std::int64_t add_hand_audit(SQLite::Database& database, const HandAudit& audit) {
    Ledger ledger(database);
    std::int64_t seq = ledger.next_seq();
    const std::int64_t id = audit.id > 0 ? audit.id : next_audit_id(database);
    SQLite::Statement insert(
        database,
        "INSERT INTO hand_audits (seq, audit_id, added_utc_ns, file, sha256, withdraws) VALUES "
        "(?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, id);
    insert.bind(3, audit.added_utc_ns);
    insert.bind(4, audit.file);
    insert.bind(5, audit.sha256);
    bind(insert, 6, audit.withdraws);
    insert.exec();
    ledger.record("hand_audits", seq);

    SQLite::Statement row_insert(
        database,
        "INSERT INTO hand_audit_rows (seq, audit_id, number, shift_id, passage_id, at_utc_ns, vocal, "
        "auditor, note) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
    std::int64_t number = 0;
    for (const HandAuditRow& row : audit.rows) {
        seq = ledger.next_seq();
        row_insert.bind(1, seq);
        row_insert.bind(2, id);
        row_insert.bind(3, ++number);
        bind(row_insert, 4, row.shift_id);
        bind(row_insert, 5, row.passage_id);
        bind(row_insert, 6, row.at_utc_ns);
        row_insert.bind(7, row.vocal ? 1 : 0);
        row_insert.bind(8, row.auditor);
        row_insert.bind(9, row.note);
        row_insert.exec();
        row_insert.reset();
        ledger.record("hand_audit_rows", seq);
    }
    return id;
}

namespace {

constexpr const char* kAuditRowColumns =
    "SELECT shift_id, passage_id, at_utc_ns, vocal, auditor, note FROM hand_audit_rows ";

std::vector<HandAuditRow> audit_rows_in(SQLite::Statement& query) {
    std::vector<HandAuditRow> rows;
    while (query.executeStep()) {
        rows.push_back({integer_at(query, 0), integer_at(query, 1), integer_at(query, 2),
                        query.getColumn(3).getInt() != 0, query.getColumn(4).getString(),
                        query.getColumn(5).getString()});
    }
    return rows;
}

} // namespace

std::optional<HandAudit> read_hand_audit(SQLite::Database& database, std::int64_t id) {
    SQLite::Statement query(database,
                            "SELECT added_utc_ns, file, sha256 FROM hand_audits WHERE audit_id = ?1 AND "
                            "withdraws IS NULL AND NOT EXISTS (SELECT 1 FROM hand_audits WHERE withdraws = "
                            "?1)");
    query.bind(1, id);
    if (!query.executeStep()) return std::nullopt;
    HandAudit audit;
    audit.id = id;
    audit.added_utc_ns = query.getColumn(0).getInt64();
    audit.file = query.getColumn(1).getString();
    audit.sha256 = query.getColumn(2).getString();
    SQLite::Statement rows(database, std::string(kAuditRowColumns) + "WHERE audit_id = ? ORDER BY number");
    rows.bind(1, id);
    audit.rows = audit_rows_in(rows);
    return audit;
}

bool is_handed_in(SQLite::Database& database, std::int64_t id) {
    SQLite::Statement query(database, "SELECT 1 FROM hand_audits WHERE audit_id = ? AND withdraws IS NULL");
    query.bind(1, id);
    return query.executeStep();
}

std::vector<HandAudit> read_hand_audits(SQLite::Database& database) {
    // One transaction: an audit that is added meanwhile is there with all its rows or not at all.
    const SQLite::Transaction snapshot(database);
    SQLite::Statement query(
        database,
        "SELECT audit_id, added_utc_ns, file, sha256, withdraws FROM hand_audits ORDER BY audit_id");
    SQLite::Statement rows(database, std::string(kAuditRowColumns) + "WHERE audit_id = ? ORDER BY number");
    std::vector<HandAudit> audits;
    while (query.executeStep()) {
        HandAudit audit;
        audit.id = query.getColumn(0).getInt64();
        audit.added_utc_ns = query.getColumn(1).getInt64();
        audit.file = query.getColumn(2).getString();
        audit.sha256 = query.getColumn(3).getString();
        audit.withdraws = integer_at(query, 4);
        rows.bind(1, audit.id);
        audit.rows = audit_rows_in(rows);
        rows.reset();
        audits.push_back(audit);
    }
    return audits;
}

std::vector<HandAuditRow> read_hand_audit_rows(SQLite::Database& database, const HandAuditSpan& span) {
    SQLite::Statement rows(
        database,
        std::string(kAuditRowColumns) +
            "WHERE (shift_id BETWEEN ?1 AND ?2 OR (at_utc_ns >= ?3 AND at_utc_ns < ?4)) AND audit_id NOT IN "
            "(SELECT withdraws FROM hand_audits WHERE withdraws IS NOT NULL) ORDER BY audit_id, number");
    rows.bind(1, span.first_shift_id);
    rows.bind(2, span.last_shift_id);
    rows.bind(3, span.from_utc_ns);
    rows.bind(4, span.to_utc_ns);
    return audit_rows_in(rows);
}

} // namespace quietpass
