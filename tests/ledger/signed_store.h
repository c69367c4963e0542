// A real store with records of every kind, signed as a running station signs. One thread.
#pragma once

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "daemon/ledger/head_signer.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/store.h"
#include "tests/records/sample_rows.h"

namespace quietpass {

class SetClock final : public Clock {
  public:
    std::int64_t monotonic_ns() const noexcept override { return now_ns; }
    std::int64_t utc_ns() const noexcept override { return now_ns; }
    std::int64_t now_ns = 1772946000000000000;
};

inline void add_record(SQLite::Database& database, const std::string& table, const std::string& columns,
                       const std::string& values) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    database.exec("INSERT INTO " + table + " (seq, " + columns + ") VALUES (" + std::to_string(seq) + ", " +
                  values + ")");
    ledger.record(table, seq);
}

// Rows that other parts of the program write.
inline void add_rows_of_people(SQLite::Database& database) {
    add_record(database, "amendments", "shift_id, number, utc_ns, entered_by, record_json",
               "1, 1, 5, 'anna', '{}'");
    add_record(database, "documents", "sha256, kind, name, utc_ns, text",
               "'ab', 'station_file', 'box.toml', 6, 'name = \"box\"' || char(10)");
    add_record(database, "calibrations", "calibrated_at, station, microphone, line",
               "'2026-03-02T05:00:00.000Z', 'box-2', 'head', 'a,b,c'");
    add_record(database, "clips",
               "clip_id, shift_id, why, call_id, microphones, start_s, end_s, rate_hz, bytes, file, sha256",
               "1, 1, 'call', 1, 'head,race', 30.7, 35.9, 48000, 4711, 'clips/1.flac', 'cd'");
    add_record(database, "cases", "case_id, reference, asked_by, entered_by, utc_ns, note",
               "1, 'A-17', 'the vet', 'anna', 7, ''");
    add_record(database, "clip_holds", "clip_id, case_id, held, utc_ns, entered_by", "1, 1, 1, 8, 'anna'");
    add_record(database, "clip_deletions", "clip_id, utc_ns, why, entered_by", "1, 9, 'age', ''");
    add_record(database, "findings",
               "finding_id, shift_id, call_id, verdict, just_before, note, entered_by, utc_ns",
               "1, 1, 1, 'call', 'prod', 'übel', 'anna', 10");
    add_record(database, "case_events", "case_id, utc_ns, entered_by, event, text",
               "1, 11, 'anna', 'note', 'heard it'");
    add_record(database, "accesses", "utc_ns, who, what, subject, detail",
               "12, 'anna', 'play', 'clip 1', ''");
    add_record(database, "hand_audit_events",
               "event_id, audit_id, event, utc_ns, entered_by, auditor, takes_back, shift_id, passage_id, "
               "vocal, note",
               "'score-0001', 2, 'scored', 13, 'anna', '', '', 1, 1, 1, ''");
}

class SignedStore {
  public:
    explicit SignedStore(const std::filesystem::path& folder)
        : file(folder / "records.db"), key_file(folder / "key" / "station.key"), store(file) {
        store.change([&](SQLite::Database& database) {
            signer = std::make_shared<HeadSigner>(open_station_key(database, key_file, clock), key_file,
                                                  clock, [this](const std::string& line) { trouble = line; });
        });
        store.sign_with(signer);
    }

    // A shift with rows of every kind, closed and signed. 30-odd records.
    void fill() {
        MicrophoneMinute minute;
        minute.microphone = "head";
        minute.end_s = 60.0;
        minute.level_db = -31.25;
        StationNoise noise;
        noise.microphone = "head";
        noise.heard = {12.25, 12.25, NoiseKind::kBang, -20.5};
        store.write(std::vector<StoreRow>{
            sample_shift(1), MicrophoneRow{1, "head", {}}, MicrophoneRow{1, "race", {}},
            EdgeRow{1, {30.1, Role::kEntered, true}, kSampleUtc}, EdgeRow{1, {32.0, Role::kHeld, true}, {}},
            ContactFaultRow{1, 40.0, "held", "stuck", "for 9 s", {}},
            GapRow{1, {"head", 41.0, 42.5, GapCause::kSilent}, kSampleUtc}, NoiseRow{1, noise, kSampleUtc},
            MinuteRow{1, minute, kSampleUtc}, call_row(1, 1), call_row(1, 2), passage_row(1, 1),
            passage_row(1, 2), passage_row(1, 3), sample_alarm_event(1), sample_alarm_event(2)});
        JournalEntry entry;
        entry.kind = EntryKind::kNote;
        entry.text = "rain \"heavy\"\n";
        store.add(entry);
        HandAudit audit;
        audit.file = "audit.csv";
        audit.sha256 = "ef";
        audit.rows.push_back({1, 1, {}, true, "M. Berg", ""});
        store.add(audit);
        store.change(add_rows_of_people);
        store.write(std::vector<StoreRow>{ShiftClosed{1, 120.0, kSampleUtc, "{\n  \"scored\": 3\n}\n"},
                                          SignHead{"day"}});
    }

    std::filesystem::path file;
    std::filesystem::path key_file;
    SetClock clock;
    Store store;
    std::shared_ptr<HeadSigner> signer;
    std::string trouble;
};

inline LedgerVerdict checked(const std::filesystem::path& file, const LedgerTrust& trust = {}) {
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    return check_store(database, trust);
}

// As one who has write access does it.
inline void drop_triggers(SQLite::Database& database) {
    std::vector<std::string> names;
    SQLite::Statement query(database, "SELECT name FROM sqlite_schema WHERE type = 'trigger'");
    while (query.executeStep()) names.push_back(query.getColumn(0).getString());
    query.reset();
    for (const std::string& name : names) database.exec("DROP TRIGGER " + name);
}

} // namespace quietpass
