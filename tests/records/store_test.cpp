#include "daemon/records/store.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "daemon/failure.h"
#include "daemon/records/calls_csv.h"
#include "daemon/records/files.h"
#include "daemon/records/passages_csv.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;

TEST_CASE("A shift's rows come back as they went in, bit for bit and in order") {
    const TestFolder temp;
    std::vector<Passage> passages;
    std::vector<StationCall> calls;
    {
        Store store(temp / "records.sqlite");
        std::vector<StoreRow> rows = {sample_shift(1)};
        for (int i = 1; i <= 20; ++i) {
            passages.push_back(sample_passage(i));
            calls.push_back(sample_call(i));
            rows.push_back(call_row(1, i));
            rows.push_back(passage_row(1, i));
        }
        rows.push_back(GapRow{1, {"head", 100.0, 110.1, GapCause::kCoveredUp}, kSampleUtc});
        rows.push_back(GapRow{1, {"contacts", 90.0, 95.0, GapCause::kContactsLost}, kSampleUtc});
        rows.push_back(EdgeRow{1, {30.1, Role::kEntered, true}, kSampleUtc});
        rows.push_back(EdgeRow{1, {31.0, Role::kEntered, false}, kSampleUtc});
        rows.push_back(ContactFaultRow{1, 700.5, "held", "stuck", "closed for 600 s", kSampleUtc});
        rows.push_back(ShiftHeard{1, 650.0, kSampleUtc});
        write(store, rows);
    }
    const Store store(temp / "records.sqlite");
    const auto rows = store.read_shift(1);
    REQUIRE(rows);
    CHECK(rows->shift.station == "box-2");
    CHECK(rows->shift.species == Species::kCattle);
    CHECK(rows->shift.timezone == "America/Denver");
    CHECK(rows->shift.name == "early");
    CHECK(rows->shift.start_utc_ns == kSampleUtc.at(0.0));
    CHECK(rows->shift.heard_until_s == 650.0);
    CHECK(rows->shift.heard_until_utc_ns == kSampleUtc.at(650.0));
    CHECK_FALSE(rows->shift.end_s);
    CHECK(rows->known_until_s == 700.5);

    CHECK(passages_csv(rows->passages) == passages_csv(passages));
    CHECK(calls_csv(Species::kCattle, rows->calls) == calls_csv(Species::kCattle, calls));
    REQUIRE(rows->passages.size() == 20);
    for (std::size_t i = 0; i < 20; ++i) {
        CHECK(rows->passages[i].entered_s == passages[i].entered_s);
        CHECK(rows->passages[i].held_s == passages[i].held_s);
        CHECK(std::isnan(rows->passages[i].released_s));
        CHECK(rows->passages[i].end_s == passages[i].end_s);
        CHECK(rows->passages[i].calls_at_stun == passages[i].calls_at_stun);
        CHECK(rows->passages[i].calls_after_stun == passages[i].calls_after_stun);
        CHECK(rows->passages[i].flags == passages[i].flags);
        CHECK(rows->passages[i].excluded == passages[i].excluded);
        CHECK(rows->calls[i].heard.start_s == calls[i].heard.start_s);
        CHECK(rows->calls[i].reason == calls[i].reason);
        CHECK(rows->calls[i].heard.reasons == calls[i].heard.reasons);
    }
    REQUIRE(rows->gaps.size() == 2);
    CHECK(rows->gaps[0].source == "contacts");
    CHECK(rows->gaps[1].cause == GapCause::kCoveredUp);
    CHECK(rows->gaps[1].end_s == 110.1);
    REQUIRE(rows->edges.size() == 2);
    CHECK(rows->edges[0].closed);
    CHECK_FALSE(rows->edges[1].closed);
    REQUIRE(rows->contact_faults.size() == 1);
    CHECK(rows->contact_faults[0].fault == "stuck");
    CHECK(rows->contact_faults[0].detail == "closed for 600 s");
}

TEST_CASE("Every role, cause, phase and kind comes back from the store") {
    const TestFolder temp;
    Store store(temp / "records.sqlite");
    std::vector<StoreRow> rows = {sample_shift(1)};
    const std::vector<Role> roles = {Role::kEntered, Role::kBodyHeld, Role::kHeld,    Role::kStunned,
                                     Role::kCut,     Role::kReleased, Role::kProdded, Role::kStopped};
    const std::vector<GapCause> causes(std::begin(kGapCauses), std::end(kGapCauses));
    const std::vector<Phase> phases = {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun,
                                       Phase::kAfterStun};
    const std::vector<CallKind> kinds = {CallKind::kMoo, CallKind::kBellow, CallKind::kSqueal,
                                         CallKind::kGrunt};
    double time_s = 0.0;
    for (const Role role : roles) rows.push_back(EdgeRow{1, {time_s += 1.0, role, true}, {}});
    for (const GapCause cause : causes) rows.push_back(GapRow{1, {"head", 0.0, time_s += 1.0, cause}, {}});
    int id = 0;
    for (const Phase phase : phases) {
        for (const CallKind kind : kinds) {
            CallRow row = call_row(1, ++id);
            row.call.phase = phase;
            row.call.heard.kind = kind;
            rows.push_back(row);
        }
    }
    write(store, rows);
    const ShiftRows read = *store.read_shift(1);
    REQUIRE(read.edges.size() == roles.size());
    for (std::size_t i = 0; i < roles.size(); ++i) CHECK(read.edges[i].role == roles[i]);
    REQUIRE(read.gaps.size() == causes.size());
    for (std::size_t i = 0; i < causes.size(); ++i) CHECK(read.gaps[i].cause == causes[i]);
    REQUIRE(read.calls.size() == phases.size() * kinds.size());
    for (std::size_t i = 0; i < read.calls.size(); ++i) {
        CHECK(read.calls[i].phase == phases[i / kinds.size()]);
        CHECK(read.calls[i].heard.kind == kinds[i % kinds.size()]);
    }
}

TEST_CASE("Microphones and their minutes come back as they went in, once") {
    const TestFolder temp;
    Store store(temp / "records.sqlite");
    MicrophoneRow calibrated{1, "race",
                             LevelReference{114.25, "2026-03-02T05:00:00.000Z", "1234", 94.0, -0.5}};
    const MicrophoneRow typed{1, "yard", LevelReference{120.0, "", "", {}, {}}};
    const MicrophoneRow uncalibrated{1, "head", {}};
    MicrophoneMinute minute;
    minute.microphone = "race";
    minute.start_s = 60.0;
    minute.end_s = 120.0;
    minute.sensitivity_db = 114.25;
    minute.heard_s = 59.0;
    minute.worked_s = 30.0;
    minute.usual_known = true;
    minute.level_db = 1.0 / 3.0;
    minute.background_db = -1.0;
    minute.rumble_db = -2.0;
    minute.body_db = -3.0;
    minute.high_db = -4.0;
    minute.hum_db = -5.0;
    minute.silent_s = 1.0;
    minute.clipped_s = 2.0;
    minute.hum_s = 3.0;
    minute.wind_s = 4.0;
    minute.covered_s = 5.0;
    minute.level_far_s = 6.0;
    const std::vector<StoreRow> rows = {sample_shift(1), uncalibrated, calibrated, typed,
                                        MinuteRow{1, minute, kSampleUtc}};
    write(store, rows);
    write(store, rows);
    const ShiftRows read = *store.read_shift(1);
    REQUIRE(read.microphones.size() == 3);
    CHECK(read.microphones[0].name == "head"); // in the order given, not of the names
    CHECK_FALSE(read.microphones[0].reference);
    REQUIRE(read.microphones[1].reference);
    CHECK(read.microphones[1].reference->sensitivity_db_spl_fs == 114.25);
    CHECK(read.microphones[1].reference->calibrated_at == "2026-03-02T05:00:00.000Z");
    CHECK(read.microphones[1].reference->calibrator_serial == "1234");
    CHECK(read.microphones[1].reference->calibrator_db == 94.0);
    CHECK(read.microphones[1].reference->drift_db == -0.5);
    REQUIRE(read.microphones[2].reference);
    CHECK(read.microphones[2].reference->calibrated_at.empty());
    CHECK_FALSE(read.microphones[2].reference->drift_db);
    REQUIRE(read.minutes.size() == 1);
    const MicrophoneMinute& back = read.minutes[0];
    CHECK(back.microphone == "race");
    CHECK(back.end_s == 120.0);
    CHECK(back.sensitivity_db == 114.25);
    CHECK(back.usual_known);
    CHECK(back.level_db == 1.0 / 3.0);
    CHECK(back.hum_db == -5.0);
    CHECK(back.silent_s == 1.0);
    CHECK(back.level_far_s == 6.0);
}

TEST_CASE("Events of alarms come back as they were written, in order, also those of another process") {
    const TestFolder temp;
    Store daemon(temp / "records.sqlite");
    Store command(temp / "records.sqlite");
    AlarmEventRow of_a_person = sample_alarm_event(2);
    of_a_person.event = "acknowledged";
    of_a_person.by = "M. Berg";
    of_a_person.passage_id.reset();
    write(daemon, {sample_alarm_event(1), sample_alarm_event(1)}); // the same row twice is one
    write(command, {of_a_person});
    const auto rows = daemon.alarm_events();
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].id == sample_alarm_event(1).id);
    CHECK(rows[0].alarm_id == 1);
    CHECK(rows[0].cause == "call_after_stun");
    CHECK(rows[0].source == "head");
    CHECK(rows[0].event == "raised");
    CHECK(rows[0].utc_ns == sample_alarm_event(1).utc_ns);
    CHECK(rows[0].by.empty());
    CHECK(rows[0].severity == "at_once");
    CHECK(rows[0].count == 3);
    CHECK(rows[0].told);
    CHECK(rows[0].passage_id == 41);
    CHECK_FALSE(rows[0].call_id);
    CHECK(rows[0].what == "A call, after the stun.");
    CHECK(rows[1].by == "M. Berg");
    CHECK_FALSE(rows[1].passage_id);
    CHECK(daemon.alarm_events(rows[0].event_id).size() == 1);
    CHECK(daemon.alarm_events(rows[1].event_id).empty());
}

TEST_CASE("A shift is open until it is closed, and a closed one is never changed") {
    const TestFolder temp;
    Store store(temp / "records.sqlite");
    CHECK(store.next_shift_id() == 1);
    write(store, {sample_shift(1), sample_shift(2, "late")});
    CHECK(store.next_shift_id() == 3);
    REQUIRE(store.open_shifts().size() == 2);
    write(store, {ShiftClosed{1, 3600.0, kSampleUtc, "{}\n"}});
    REQUIRE(store.open_shifts().size() == 1);
    CHECK(store.open_shifts()[0].name == "late");
    write(store, {ShiftClosed{1, 9999.0, kSampleUtc, "forged"}, ShiftHeard{1, 9999.0, {}}});
    const StoredShift closed = store.read_shift(1)->shift;
    CHECK(closed.end_s == 3600.0);
    CHECK(closed.end_utc_ns == kSampleUtc.at(3600.0));
    CHECK(closed.record_json == "{}\n");
    CHECK_FALSE(closed.heard_until_s);
    CHECK(store.shifts().size() == 2);
    CHECK_FALSE(store.read_shift(17));
}

TEST_CASE("Writing the same rows again changes nothing") {
    const TestFolder temp;
    Store store(temp / "records.sqlite");
    const std::vector<StoreRow> rows = {sample_shift(1),
                                        passage_row(1, 1),
                                        call_row(1, 1),
                                        GapRow{1, {"head", 1.0, 2.0, GapCause::kSilent}, {}},
                                        EdgeRow{1, {1.0, Role::kHeld, true}, {}},
                                        ContactFaultRow{1, 1.0, "held", "stuck", "", {}}};
    write(store, rows);
    write(store, rows);
    const ShiftRows read = *store.read_shift(1);
    CHECK(read.passages.size() == 1);
    CHECK(read.calls.size() == 1);
    CHECK(read.gaps.size() == 1);
    CHECK(read.edges.size() == 1);
    CHECK(read.contact_faults.size() == 1);
}

TEST_CASE("A row that can't be stored takes its whole write back and says that it is the row") {
    const TestFolder temp;
    Store store(temp / "records.sqlite");
    write(store, {sample_shift(1)});
    Passage timeless;
    timeless.id = 2;
    timeless.entered_s = kNever;
    for (const StoreRow& bad : {StoreRow(passage_row(99, 2)), StoreRow(PassageRow{1, timeless, {}})}) {
        try {
            write(store, {passage_row(1, 1), bad});
            FAIL("nothing was thrown");
        } catch (const StoreError& error) {
            CHECK(error.row_is_bad());
        }
        CHECK(store.read_shift(1)->passages.empty());
    }
    write(store, {passage_row(1, 1)});
    CHECK(store.read_shift(1)->passages.size() == 1);
}
