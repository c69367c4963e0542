#include "daemon/records/store_schema.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <string>

#include "daemon/failure.h"
#include "daemon/records/people_rows.h"

namespace quietpass {
namespace {

constexpr const char* kTables = R"sql(
CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE shifts (
  shift_id           INTEGER PRIMARY KEY,
  station            TEXT NOT NULL,
  species            TEXT NOT NULL,
  timezone           TEXT NOT NULL,
  name               TEXT NOT NULL,
  start_s            REAL NOT NULL,
  start_utc_ns       INTEGER,
  heard_until_s      REAL,
  heard_until_utc_ns INTEGER,
  end_s              REAL,
  end_utc_ns         INTEGER,
  record_json        TEXT
) STRICT;
CREATE INDEX shifts_open ON shifts (shift_id) WHERE end_s IS NULL;

CREATE TABLE passages (
  shift_id         INTEGER NOT NULL REFERENCES shifts (shift_id),
  passage_id       INTEGER NOT NULL,
  entered_s        REAL NOT NULL,
  body_held_s      REAL,
  held_s           REAL,
  stunned_s        REAL,
  released_s       REAL,
  end_s            REAL NOT NULL,
  entered_utc_ns   INTEGER,
  body_held_utc_ns INTEGER,
  held_utc_ns      INTEGER,
  stunned_utc_ns   INTEGER,
  released_utc_ns  INTEGER,
  end_utc_ns       INTEGER,
  calls            INTEGER NOT NULL,
  vocal            INTEGER NOT NULL CHECK (vocal IN (0, 1)),
  covered          INTEGER NOT NULL CHECK (covered IN (0, 1)),
  calls_at_stun    INTEGER NOT NULL,
  calls_after_stun INTEGER NOT NULL,
  stuns            INTEGER NOT NULL,
  prods            INTEGER NOT NULL,
  excluded         TEXT NOT NULL,
  flags            TEXT NOT NULL,
  PRIMARY KEY (shift_id, passage_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE calls (
  shift_id     INTEGER NOT NULL REFERENCES shifts (shift_id),
  call_id      INTEGER NOT NULL,
  microphone   TEXT NOT NULL,
  start_s      REAL NOT NULL,
  end_s        REAL NOT NULL,
  start_utc_ns INTEGER,
  end_utc_ns   INTEGER,
  species      TEXT NOT NULL,
  kind         TEXT NOT NULL,
  score        REAL,
  level_db     REAL,
  f0_hz        REAL,
  passage_id   INTEGER,
  phase        TEXT,
  counted      INTEGER NOT NULL CHECK (counted IN (0, 1)),
  reason       TEXT NOT NULL,
  terms        TEXT NOT NULL,
  PRIMARY KEY (shift_id, call_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE gaps (
  shift_id     INTEGER NOT NULL REFERENCES shifts (shift_id),
  source       TEXT NOT NULL,
  start_s      REAL NOT NULL,
  end_s        REAL NOT NULL,
  start_utc_ns INTEGER,
  end_utc_ns   INTEGER,
  cause        TEXT NOT NULL,
  PRIMARY KEY (shift_id, end_s, start_s, source, cause)
) STRICT, WITHOUT ROWID;

CREATE TABLE edges (
  shift_id INTEGER NOT NULL REFERENCES shifts (shift_id),
  time_s   REAL NOT NULL,
  utc_ns   INTEGER,
  role     TEXT NOT NULL,
  closed   INTEGER NOT NULL CHECK (closed IN (0, 1)),
  PRIMARY KEY (shift_id, time_s, role, closed)
) STRICT, WITHOUT ROWID;

CREATE TABLE contact_faults (
  shift_id INTEGER NOT NULL REFERENCES shifts (shift_id),
  time_s   REAL NOT NULL,
  utc_ns   INTEGER,
  contact  TEXT NOT NULL,
  fault    TEXT NOT NULL,
  detail   TEXT NOT NULL,
  PRIMARY KEY (shift_id, time_s, contact, fault)
) STRICT, WITHOUT ROWID;
)sql";

// What version 2 added.
constexpr const char* kHealthTables = R"sql(
CREATE TABLE microphones (
  shift_id              INTEGER NOT NULL REFERENCES shifts (shift_id),
  number                INTEGER NOT NULL,
  name                  TEXT NOT NULL,
  sensitivity_db_spl_fs REAL,
  calibrated_at         TEXT,
  calibrator_serial     TEXT,
  calibrator_db         REAL,
  drift_db              REAL,
  PRIMARY KEY (shift_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE microphone_minutes (
  shift_id      INTEGER NOT NULL REFERENCES shifts (shift_id),
  microphone    TEXT NOT NULL,
  start_s       REAL NOT NULL,
  end_s         REAL NOT NULL,
  start_utc_ns  INTEGER,
  sensitivity_db REAL,
  heard_s       REAL NOT NULL,
  worked_s      REAL NOT NULL,
  usual_known   INTEGER NOT NULL CHECK (usual_known IN (0, 1)),
  level_db      REAL NOT NULL,
  background_db REAL NOT NULL,
  rumble_db     REAL NOT NULL,
  body_db       REAL NOT NULL,
  high_db       REAL NOT NULL,
  hum_db        REAL NOT NULL,
  silent_s      REAL NOT NULL,
  clipped_s     REAL NOT NULL,
  hum_s         REAL NOT NULL,
  wind_s        REAL NOT NULL,
  covered_s     REAL NOT NULL,
  level_far_s   REAL NOT NULL,
  PRIMARY KEY (shift_id, microphone, start_s)
) STRICT, WITHOUT ROWID;
)sql";

// What version 3 added. Each with IF NOT EXISTS, in a list that grows until the version is out.
constexpr const char* kVersion3Tables[] = {R"sql(
CREATE TABLE IF NOT EXISTS alarm_events (
  event_id   INTEGER PRIMARY KEY AUTOINCREMENT,
  id         TEXT NOT NULL UNIQUE,
  alarm_id   INTEGER NOT NULL,
  cause      TEXT NOT NULL,
  source     TEXT NOT NULL,
  event      TEXT NOT NULL CHECK (event IN ('raised', 'again', 'acknowledged', 'cleared')),
  utc_ns     INTEGER NOT NULL,
  by         TEXT,
  severity   TEXT NOT NULL CHECK (severity IN ('at_once', 'soon')),
  count      INTEGER NOT NULL,
  told       INTEGER NOT NULL CHECK (told IN (0, 1)),
  passage_id INTEGER,
  call_id    INTEGER,
  what       TEXT NOT NULL
) STRICT;
CREATE INDEX IF NOT EXISTS alarm_events_of_alarm ON alarm_events (alarm_id);
)sql",
                                           R"sql(
CREATE TABLE IF NOT EXISTS noises (
  shift_id     INTEGER NOT NULL REFERENCES shifts (shift_id),
  time_s       REAL NOT NULL,
  end_s        REAL NOT NULL,
  utc_ns       INTEGER,
  microphone   TEXT NOT NULL,
  kind         TEXT NOT NULL,
  level_db     REAL NOT NULL,
  passage_id   INTEGER,
  phase        TEXT,
  by_equipment INTEGER NOT NULL CHECK (by_equipment IN (0, 1)),
  PRIMARY KEY (shift_id, time_s, microphone, kind)
) STRICT, WITHOUT ROWID;
)sql"};

// Columns that version 3 added to tables of before; NULL in rows of before.
struct AddedColumn {
    const char* table;
    const char* column;
    const char* type;
};
constexpr AddedColumn kCycleColumns[] = {
    {"passages", "body_held_for_s", "REAL"}, {"passages", "held_for_s", "REAL"},
    {"passages", "to_stun_s", "REAL"},       {"passages", "restrained_for_s", "REAL"},
    {"passages", "bangs", "INTEGER"},        {"calls", "bang_before_db", "REAL"},
    {"calls", "hiss_before_db", "REAL"}};

void add_columns(SQLite::Database& database) {
    for (const AddedColumn& added : kCycleColumns) {
        SQLite::Statement query(database, "SELECT 1 FROM pragma_table_info(?) WHERE name = ?");
        query.bind(1, added.table);
        query.bind(2, added.column);
        if (query.executeStep()) continue;
        database.exec(std::string("ALTER TABLE ") + added.table + " ADD COLUMN " + added.column + " " +
                      added.type);
    }
}

bool has_table(SQLite::Database& database, const std::string& name) {
    SQLite::Statement query(database, "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = ?");
    query.bind(1, name);
    return query.executeStep();
}

bool is_empty(SQLite::Database& database) {
    return database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() == 0;
}

std::string version_of(SQLite::Database& database) {
    SQLite::Statement query(database, "SELECT value FROM meta WHERE key = 'schema_version'");
    return query.executeStep() ? query.getColumn(0).getString() : "none";
}

bool is_up_to_date(SQLite::Database& database) {
    return has_table(database, "meta") && version_of(database) == std::to_string(kSchemaVersion);
}

// Tables are only ever added, so that a store of an older program goes on with this one.
void bring_up_to_date(SQLite::Database& database) {
    const std::string found = version_of(database);
    if (found == std::to_string(kSchemaVersion)) return;
    if (found == "1") database.exec(kHealthTables);
    if (found == "1" || found == "2") {
        for (const char* const tables : kVersion3Tables) database.exec(tables);
        database.exec(kPeopleTables);
        add_columns(database);
        database.exec("UPDATE meta SET value = '3' WHERE key = 'schema_version'");
        return;
    }
    throw Failure(kExitFailure, "record store " + database.getFilename() + ": its schema version is " +
                                    found + ", this program reads " + std::to_string(kSchemaVersion) +
                                    "; use the program that made it or another file");
}

} // namespace

void prepare_schema(SQLite::Database& database) {
    // IMMEDIATE before looking: two programs that start together must not both make the tables. A read-only
    // look comes first, so that a reader of a finished store asks for no lock.
    if (is_up_to_date(database)) return;
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    if (has_table(database, "meta")) {
        bring_up_to_date(database);
        return transaction.commit();
    }
    if (!is_empty(database)) {
        throw Failure(kExitFailure, "record store " + database.getFilename() +
                                        ": is a database of something else; give another file");
    }
    database.exec(kTables);
    database.exec(kHealthTables);
    for (const char* const tables : kVersion3Tables) database.exec(tables);
    database.exec(kPeopleTables);
    add_columns(database);
    SQLite::Statement version(database, "INSERT INTO meta (key, value) VALUES ('schema_version', ?)");
    version.bind(1, std::to_string(kSchemaVersion));
    version.exec();
    transaction.commit();
}

} // namespace quietpass
