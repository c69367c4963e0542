// Stores as the programs before this one left them, by the SQL that they had.
#pragma once

#include <SQLiteCpp/Database.h>

#include <filesystem>
#include <string>

namespace quietpass {

inline constexpr const char* kTablesOfVersion1 = R"sql(
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

inline constexpr const char* kAddedByVersion2 = R"sql(
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

inline constexpr const char* kAddedByVersion3 = R"sql(
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

ALTER TABLE passages ADD COLUMN body_held_for_s REAL;
ALTER TABLE passages ADD COLUMN held_for_s REAL;
ALTER TABLE passages ADD COLUMN to_stun_s REAL;
ALTER TABLE passages ADD COLUMN restrained_for_s REAL;
ALTER TABLE passages ADD COLUMN bangs INTEGER;
ALTER TABLE calls ADD COLUMN bang_before_db REAL;
ALTER TABLE calls ADD COLUMN hiss_before_db REAL;
)sql";

// A closed shift with two passages and a call, and one that a kill left open.
inline constexpr const char* kRowsOfVersion1 = R"sql(
INSERT INTO shifts VALUES (1, 'box-2', 'cattle', 'America/Denver', 'early', 0.0, 1772946000000000000,
  3590.5, 1772949590500000000, 3600.0, 1772949600000000000, '{"station": "box-2"}' || char(10));
INSERT INTO shifts VALUES (2, 'box-2', 'cattle', 'America/Denver', 'late', 3600.0, 1772949600000000000,
  4000.25, 1772950000250000000, NULL, NULL, NULL);
INSERT INTO passages (shift_id, passage_id, entered_s, held_s, end_s, calls, vocal, covered, calls_at_stun,
  calls_after_stun, stuns, prods, excluded, flags) VALUES
  (2, 3, 3700.0, 3702.0, 3720.0, 0, 0, 1, 0, 0, 1, 0, '', ''),
  (1, 1, 30.1, 32.0, 50.0, 1, 1, 1, 0, 0, 1, 0, '', 'second_stun;never_released'),
  (1, 2, 60.1, NULL, 80.0, 0, 0, 0, 0, 0, 1, 2, 'silent', '');
INSERT INTO calls (shift_id, call_id, microphone, start_s, end_s, species, kind, score, level_db, f0_hz,
  passage_id, phase, counted, reason, terms) VALUES
  (1, 1, 'head', 31.0, 32.5, 'cattle', 'moo', 1.5, -30.0, 113.6, 1, 'entry', 1, 'why "it"', 'voice_s +1.2');
INSERT INTO gaps VALUES (1, 'head', 60.0, 62.0, NULL, NULL, 'silent');
INSERT INTO edges VALUES (1, 30.1, NULL, 'entered', 1), (1, 32.0, NULL, 'held', 1);
INSERT INTO contact_faults VALUES (1, 70.0, NULL, 'held', 'stuck', 'for 9 s');
)sql";

inline constexpr const char* kRowsOfVersion3 = R"sql(
INSERT INTO microphones (shift_id, number, name) VALUES (1, 0, 'race'), (1, 1, 'head');
INSERT INTO noises VALUES (1, 31.5, 31.5, NULL, 'head', 'bang', -20.5, 1, 'held', 0);
INSERT INTO alarm_events (id, alarm_id, cause, source, event, utc_ns, by, severity, count, told, what) VALUES
  ('a-1', 1, 'contacts_lost', 'plc', 'raised', 5, NULL, 'soon', 1, 1, 'gone'),
  ('a-2', 1, 'contacts_lost', 'plc', 'cleared', 6, 'M. Berg', 'soon', 1, 0, 'back');
INSERT INTO journal (kind, at_utc_ns, text, station_part, entered_by, added_utc_ns, withdraws) VALUES
  ('note', 10, 'rain', '', 'anna', 11, NULL), ('withdrawn', 12, '', '', 'anna', 12, 1);
INSERT INTO hand_audits (added_utc_ns, file, sha256) VALUES (7, 'audit.csv', 'aa');
INSERT INTO hand_audit_rows VALUES (1, 1, 1, 1, NULL, 1, 'M. Berg', '');
)sql";

// version: 1, 2 or 3.
inline void make_old_store(const std::filesystem::path& file, int version) {
    SQLite::Database old(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    old.exec("PRAGMA journal_mode = WAL");
    old.exec(kTablesOfVersion1);
    old.exec(kRowsOfVersion1);
    if (version >= 2) old.exec(kAddedByVersion2);
    if (version >= 3) old.exec(kAddedByVersion3);
    if (version >= 3) old.exec(kRowsOfVersion3);
    old.exec("INSERT INTO meta VALUES ('schema_version', '" + std::to_string(version) + "')");
}

} // namespace quietpass
