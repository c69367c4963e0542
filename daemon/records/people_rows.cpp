#include "daemon/records/people_rows.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <stdexcept>
#include <string>

namespace quietpass {

const char* const kPeopleTables = R"sql(
CREATE TABLE IF NOT EXISTS journal (
  entry_id     INTEGER PRIMARY KEY AUTOINCREMENT,
  kind         TEXT NOT NULL,
  at_utc_ns    INTEGER NOT NULL,
  until_utc_ns INTEGER,
  text         TEXT NOT NULL,
  station_part TEXT NOT NULL,
  entered_by   TEXT NOT NULL,
  added_utc_ns INTEGER NOT NULL,
  withdraws    INTEGER REFERENCES journal (entry_id)
) STRICT;

CREATE TABLE IF NOT EXISTS hand_audits (
  audit_id     INTEGER PRIMARY KEY AUTOINCREMENT,
  added_utc_ns INTEGER NOT NULL,
  file         TEXT NOT NULL,
  sha256       TEXT NOT NULL,
  withdraws    INTEGER REFERENCES hand_audits (audit_id)
) STRICT;

CREATE TABLE IF NOT EXISTS hand_audit_rows (
  audit_id   INTEGER NOT NULL REFERENCES hand_audits (audit_id),
  number     INTEGER NOT NULL,
  shift_id   INTEGER,
  passage_id INTEGER,
  at_utc_ns  INTEGER,
  vocal      INTEGER NOT NULL CHECK (vocal IN (0, 1)),
  auditor    TEXT NOT NULL,
  note       TEXT NOT NULL,
  PRIMARY KEY (audit_id, number)
) STRICT, WITHOUT ROWID;
)sql";

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

EntryKind kind_named(const std::string& word) {
    for (const EntryKind kind :
         {EntryKind::kLot, EntryKind::kLotEnd, EntryKind::kNote, EntryKind::kChange, EntryKind::kWithdrawn}) {
        if (name_of(kind) == word) return kind;
    }
    throw std::runtime_error("unknown kind of journal entry \"" + word + "\"");
}

} // namespace

std::int64_t add_entry(SQLite::Database& database, const JournalEntry& entry) {
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    SQLite::Statement insert(database,
                             "INSERT INTO journal (kind, at_utc_ns, until_utc_ns, text, station_part, "
                             "entered_by, added_utc_ns, withdraws) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, std::string(name_of(entry.kind)));
    insert.bind(2, entry.at_utc_ns);
    bind(insert, 3, entry.until_utc_ns);
    insert.bind(4, entry.text);
    insert.bind(5, entry.station_part);
    insert.bind(6, entry.by);
    insert.bind(7, entry.added_utc_ns);
    bind(insert, 8, entry.withdraws);
    insert.exec();
    const std::int64_t id = database.getLastInsertRowid();
    transaction.commit();
    return id;
}

std::vector<JournalEntry> read_journal(SQLite::Database& database) {
    SQLite::Statement query(database,
                            "SELECT entry_id, kind, at_utc_ns, until_utc_ns, text, station_part, entered_by, "
                            "added_utc_ns, withdraws FROM journal ORDER BY entry_id");
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

std::int64_t add_hand_audit(SQLite::Database& database, const HandAudit& audit) {
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    SQLite::Statement insert(
        database, "INSERT INTO hand_audits (added_utc_ns, file, sha256, withdraws) VALUES (?, ?, ?, ?)");
    insert.bind(1, audit.added_utc_ns);
    insert.bind(2, audit.file);
    insert.bind(3, audit.sha256);
    bind(insert, 4, audit.withdraws);
    insert.exec();
    const std::int64_t id = database.getLastInsertRowid();

    SQLite::Statement row_insert(
        database,
        "INSERT INTO hand_audit_rows (audit_id, number, shift_id, passage_id, at_utc_ns, vocal, "
        "auditor, note) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    std::int64_t number = 0;
    for (const HandAuditRow& row : audit.rows) {
        row_insert.bind(1, id);
        row_insert.bind(2, ++number);
        bind(row_insert, 3, row.shift_id);
        bind(row_insert, 4, row.passage_id);
        bind(row_insert, 5, row.at_utc_ns);
        row_insert.bind(6, row.vocal ? 1 : 0);
        row_insert.bind(7, row.auditor);
        row_insert.bind(8, row.note);
        row_insert.exec();
        row_insert.reset();
    }
    transaction.commit();
    return id;
}

std::vector<HandAudit> read_hand_audits(SQLite::Database& database) {
    // One transaction: an audit that is added meanwhile is there with all its rows or not at all.
    const SQLite::Transaction snapshot(database);
    SQLite::Statement query(
        database,
        "SELECT audit_id, added_utc_ns, file, sha256, withdraws FROM hand_audits ORDER BY audit_id");
    SQLite::Statement rows(database,
                           "SELECT shift_id, passage_id, at_utc_ns, vocal, auditor, note FROM "
                           "hand_audit_rows WHERE audit_id = ? ORDER BY number");
    std::vector<HandAudit> audits;
    while (query.executeStep()) {
        HandAudit audit;
        audit.id = query.getColumn(0).getInt64();
        audit.added_utc_ns = query.getColumn(1).getInt64();
        audit.file = query.getColumn(2).getString();
        audit.sha256 = query.getColumn(3).getString();
        audit.withdraws = integer_at(query, 4);
        rows.bind(1, audit.id);
        while (rows.executeStep()) {
            audit.rows.push_back({integer_at(rows, 0), integer_at(rows, 1), integer_at(rows, 2),
                                  rows.getColumn(3).getInt() != 0, rows.getColumn(4).getString(),
                                  rows.getColumn(5).getString()});
        }
        rows.reset();
        audits.push_back(audit);
    }
    return audits;
}

} // namespace quietpass
