#include "daemon/records/store_tables.h"

namespace quietpass {

// Each table of evidence has the number of its record, seq, as its rowid, so that it lies on the disk in the
// order of writing and verifying reads it from end to end. Columns are hashed in the order they have here:
// a new one goes last.
const char* const kTables = R"sql(
CREATE TABLE ledger (
  seq  INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL,
  hash BLOB NOT NULL
) STRICT;

CREATE TABLE shifts (
  seq          INTEGER PRIMARY KEY,
  shift_id     INTEGER NOT NULL UNIQUE,
  station      TEXT NOT NULL,
  species      TEXT NOT NULL,
  timezone     TEXT NOT NULL,
  name         TEXT NOT NULL,
  start_s      REAL NOT NULL,
  start_utc_ns INTEGER
) STRICT;
CREATE INDEX shifts_at ON shifts (start_utc_ns);

CREATE TABLE shift_progress (
  shift_id           INTEGER PRIMARY KEY REFERENCES shifts (shift_id),
  heard_until_s      REAL NOT NULL,
  heard_until_utc_ns INTEGER
) STRICT;

CREATE TABLE shift_records (
  seq         INTEGER PRIMARY KEY,
  shift_id    INTEGER NOT NULL UNIQUE REFERENCES shifts (shift_id),
  end_s       REAL NOT NULL,
  end_utc_ns  INTEGER,
  record_json TEXT NOT NULL
) STRICT;

CREATE TABLE amendments (
  seq         INTEGER PRIMARY KEY,
  shift_id    INTEGER NOT NULL REFERENCES shifts (shift_id),
  number      INTEGER NOT NULL,
  utc_ns      INTEGER NOT NULL,
  entered_by  TEXT NOT NULL,
  record_json TEXT NOT NULL,
  UNIQUE (shift_id, number)
) STRICT;

CREATE TABLE passages (
  seq              INTEGER PRIMARY KEY,
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
  body_held_for_s  REAL,
  held_for_s       REAL,
  to_stun_s        REAL,
  restrained_for_s REAL,
  bangs            INTEGER,
  UNIQUE (shift_id, passage_id)
) STRICT;

CREATE TABLE calls (
  seq            INTEGER PRIMARY KEY,
  shift_id       INTEGER NOT NULL REFERENCES shifts (shift_id),
  call_id        INTEGER NOT NULL,
  microphone     TEXT NOT NULL,
  start_s        REAL NOT NULL,
  end_s          REAL NOT NULL,
  start_utc_ns   INTEGER,
  end_utc_ns     INTEGER,
  species        TEXT NOT NULL,
  kind           TEXT NOT NULL,
  score          REAL,
  level_db       REAL,
  f0_hz          REAL,
  passage_id     INTEGER,
  phase          TEXT,
  counted        INTEGER NOT NULL CHECK (counted IN (0, 1)),
  reason         TEXT NOT NULL,
  terms          TEXT NOT NULL,
  bang_before_db REAL,
  hiss_before_db REAL,
  UNIQUE (shift_id, call_id)
) STRICT;

CREATE TABLE gaps (
  seq          INTEGER PRIMARY KEY,
  shift_id     INTEGER NOT NULL REFERENCES shifts (shift_id),
  source       TEXT NOT NULL,
  start_s      REAL NOT NULL,
  end_s        REAL NOT NULL,
  start_utc_ns INTEGER,
  end_utc_ns   INTEGER,
  cause        TEXT NOT NULL,
  UNIQUE (shift_id, end_s, start_s, source, cause)
) STRICT;

CREATE TABLE edges (
  seq      INTEGER PRIMARY KEY,
  shift_id INTEGER NOT NULL REFERENCES shifts (shift_id),
  time_s   REAL NOT NULL,
  utc_ns   INTEGER,
  role     TEXT NOT NULL,
  closed   INTEGER NOT NULL CHECK (closed IN (0, 1)),
  UNIQUE (shift_id, time_s, role, closed)
) STRICT;

CREATE TABLE contact_faults (
  seq      INTEGER PRIMARY KEY,
  shift_id INTEGER NOT NULL REFERENCES shifts (shift_id),
  time_s   REAL NOT NULL,
  utc_ns   INTEGER,
  contact  TEXT NOT NULL,
  fault    TEXT NOT NULL,
  detail   TEXT NOT NULL,
  UNIQUE (shift_id, time_s, contact, fault)
) STRICT;

CREATE TABLE noises (
  seq          INTEGER PRIMARY KEY,
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
  UNIQUE (shift_id, time_s, microphone, kind)
) STRICT;

CREATE TABLE microphones (
  seq                   INTEGER PRIMARY KEY,
  shift_id              INTEGER NOT NULL REFERENCES shifts (shift_id),
  number                INTEGER NOT NULL,
  name                  TEXT NOT NULL,
  sensitivity_db_spl_fs REAL,
  calibrated_at         TEXT,
  calibrator_serial     TEXT,
  calibrator_db         REAL,
  drift_db              REAL,
  UNIQUE (shift_id, name)
) STRICT;

CREATE TABLE microphone_minutes (
  seq            INTEGER PRIMARY KEY,
  shift_id       INTEGER NOT NULL REFERENCES shifts (shift_id),
  microphone     TEXT NOT NULL,
  start_s        REAL NOT NULL,
  end_s          REAL NOT NULL,
  start_utc_ns   INTEGER,
  sensitivity_db REAL,
  heard_s        REAL NOT NULL,
  worked_s       REAL NOT NULL,
  usual_known    INTEGER NOT NULL CHECK (usual_known IN (0, 1)),
  level_db       REAL NOT NULL,
  background_db  REAL NOT NULL,
  rumble_db      REAL NOT NULL,
  body_db        REAL NOT NULL,
  high_db        REAL NOT NULL,
  hum_db         REAL NOT NULL,
  silent_s       REAL NOT NULL,
  clipped_s      REAL NOT NULL,
  hum_s          REAL NOT NULL,
  wind_s         REAL NOT NULL,
  covered_s      REAL NOT NULL,
  level_far_s    REAL NOT NULL,
  UNIQUE (shift_id, microphone, start_s)
) STRICT;

CREATE TABLE alarm_events (
  seq        INTEGER PRIMARY KEY,
  event_id   INTEGER NOT NULL UNIQUE,
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
CREATE INDEX alarm_events_of_alarm ON alarm_events (alarm_id);
CREATE INDEX alarm_events_at ON alarm_events (utc_ns, alarm_id);

CREATE TABLE journal (
  seq          INTEGER PRIMARY KEY,
  entry_id     INTEGER NOT NULL UNIQUE,
  kind         TEXT NOT NULL,
  at_utc_ns    INTEGER NOT NULL,
  until_utc_ns INTEGER,
  text         TEXT NOT NULL,
  station_part TEXT NOT NULL,
  entered_by   TEXT NOT NULL,
  added_utc_ns INTEGER NOT NULL,
  withdraws    INTEGER REFERENCES journal (entry_id)
) STRICT;
CREATE INDEX journal_at ON journal (at_utc_ns);
CREATE INDEX journal_withdrawn ON journal (withdraws) WHERE withdraws IS NOT NULL;

CREATE TABLE hand_audits (
  seq          INTEGER PRIMARY KEY,
  audit_id     INTEGER NOT NULL UNIQUE,
  added_utc_ns INTEGER NOT NULL,
  file         TEXT NOT NULL,
  sha256       TEXT NOT NULL,
  withdraws    INTEGER REFERENCES hand_audits (audit_id)
) STRICT;

CREATE TABLE hand_audit_rows (
  seq        INTEGER PRIMARY KEY,
  audit_id   INTEGER NOT NULL REFERENCES hand_audits (audit_id),
  number     INTEGER NOT NULL,
  shift_id   INTEGER,
  passage_id INTEGER,
  at_utc_ns  INTEGER,
  vocal      INTEGER NOT NULL CHECK (vocal IN (0, 1)),
  auditor    TEXT NOT NULL,
  note       TEXT NOT NULL,
  UNIQUE (audit_id, number)
) STRICT;
CREATE INDEX hand_audit_rows_of_shift ON hand_audit_rows (shift_id);
CREATE INDEX hand_audit_rows_at ON hand_audit_rows (at_utc_ns);

CREATE TABLE documents (
  seq    INTEGER PRIMARY KEY,
  sha256 TEXT NOT NULL,
  kind   TEXT NOT NULL,
  name   TEXT NOT NULL,
  utc_ns INTEGER NOT NULL,
  text   TEXT NOT NULL,
  UNIQUE (sha256, kind)
) STRICT;

CREATE TABLE calibrations (
  seq           INTEGER PRIMARY KEY,
  calibrated_at TEXT NOT NULL,
  station       TEXT NOT NULL,
  microphone    TEXT NOT NULL,
  line          TEXT NOT NULL UNIQUE
) STRICT;

CREATE TABLE clips (
  seq          INTEGER PRIMARY KEY,
  clip_id      INTEGER NOT NULL UNIQUE,
  shift_id     INTEGER REFERENCES shifts (shift_id),
  why          TEXT NOT NULL,
  passage_id   INTEGER,
  call_id      INTEGER,
  alarm_id     INTEGER,
  microphones  TEXT NOT NULL,
  start_s      REAL NOT NULL,
  end_s        REAL NOT NULL,
  start_utc_ns INTEGER,
  rate_hz      INTEGER NOT NULL,
  bytes        INTEGER NOT NULL,
  file         TEXT NOT NULL,
  sha256       TEXT NOT NULL
) STRICT;
CREATE INDEX clips_of_shift ON clips (shift_id, call_id);

CREATE TABLE clip_deletions (
  seq        INTEGER PRIMARY KEY,
  clip_id    INTEGER NOT NULL UNIQUE REFERENCES clips (clip_id),
  utc_ns     INTEGER NOT NULL,
  why        TEXT NOT NULL,
  entered_by TEXT NOT NULL,
  reason     TEXT
) STRICT;

CREATE TABLE clip_holds (
  seq        INTEGER PRIMARY KEY,
  clip_id    INTEGER NOT NULL REFERENCES clips (clip_id),
  case_id    INTEGER NOT NULL REFERENCES cases (case_id),
  held       INTEGER NOT NULL CHECK (held IN (0, 1)),
  utc_ns     INTEGER NOT NULL,
  entered_by TEXT NOT NULL
) STRICT;
CREATE INDEX clip_holds_of_clip ON clip_holds (clip_id, case_id);

CREATE TABLE findings (
  seq         INTEGER PRIMARY KEY,
  finding_id  INTEGER NOT NULL UNIQUE,
  shift_id    INTEGER NOT NULL,
  call_id     INTEGER NOT NULL,
  verdict     TEXT NOT NULL,
  just_before TEXT NOT NULL,
  note        TEXT NOT NULL,
  entered_by  TEXT NOT NULL,
  utc_ns      INTEGER NOT NULL,
  withdraws   INTEGER REFERENCES findings (finding_id),
  FOREIGN KEY (shift_id, call_id) REFERENCES calls (shift_id, call_id)
) STRICT;
CREATE INDEX findings_of_call ON findings (shift_id, call_id);

CREATE TABLE cases (
  seq         INTEGER PRIMARY KEY,
  case_id     INTEGER NOT NULL UNIQUE,
  reference   TEXT NOT NULL,
  asked_by    TEXT NOT NULL,
  from_utc_ns INTEGER,
  to_utc_ns   INTEGER,
  entered_by  TEXT NOT NULL,
  utc_ns      INTEGER NOT NULL,
  note        TEXT NOT NULL
) STRICT;

CREATE TABLE case_events (
  seq        INTEGER PRIMARY KEY,
  case_id    INTEGER NOT NULL REFERENCES cases (case_id),
  utc_ns     INTEGER NOT NULL,
  entered_by TEXT NOT NULL,
  event      TEXT NOT NULL,
  text       TEXT NOT NULL,
  shift_id   INTEGER,
  passage_id INTEGER,
  call_id    INTEGER,
  clip_id    INTEGER
) STRICT;
CREATE INDEX case_events_of_case ON case_events (case_id);

CREATE TABLE accesses (
  seq     INTEGER PRIMARY KEY,
  utc_ns  INTEGER NOT NULL,
  who     TEXT NOT NULL,
  what    TEXT NOT NULL,
  subject TEXT NOT NULL,
  detail  TEXT NOT NULL
) STRICT;

CREATE TABLE keys (
  seq          INTEGER PRIMARY KEY,
  key_id       TEXT NOT NULL UNIQUE,
  public_key   TEXT NOT NULL,
  since_utc_ns INTEGER NOT NULL,
  replaces     TEXT,
  proof        TEXT
) STRICT;

CREATE TABLE heads (
  seq       INTEGER PRIMARY KEY,
  of_seq    INTEGER NOT NULL UNIQUE,
  hash      TEXT NOT NULL,
  utc_ns    INTEGER NOT NULL,
  why       TEXT NOT NULL,
  key_id    TEXT NOT NULL,
  signature TEXT NOT NULL
) STRICT;
)sql";

const char* const kAddedTables = R"sql(
CREATE TABLE hand_audit_events (
  seq        INTEGER PRIMARY KEY,
  event_id   TEXT NOT NULL UNIQUE,
  audit_id   INTEGER NOT NULL,
  event      TEXT NOT NULL CHECK (event IN ('started', 'scored', 'taken_back', 'given_up')),
  utc_ns     INTEGER NOT NULL,
  entered_by TEXT NOT NULL,
  auditor    TEXT NOT NULL,
  takes_back TEXT NOT NULL,
  shift_id   INTEGER,
  passage_id INTEGER,
  at_utc_ns  INTEGER,
  vocal      INTEGER CHECK (vocal IN (0, 1)),
  note       TEXT NOT NULL
) STRICT;
CREATE INDEX hand_audit_events_of_audit ON hand_audit_events (audit_id);
)sql";

} // namespace quietpass
