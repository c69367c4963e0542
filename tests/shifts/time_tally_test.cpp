// What a shift says of time: line rate, coverage, how long animals were held.

#include <catch2/catch.hpp>

#include "tests/shifts/tally_rows.h"

using namespace quietpass;
using namespace quietpass::test;

TEST_CASE("The line rate is animals per hour of running time, stops and unknown contacts left out") {
    Tally tally(station());
    for (int id = 1; id <= 30; ++id) tally.add(passage(id, 100.0 * id));
    tally.add(excluded_passage(31, "no_animal"));
    Passage washed = passage(32, 4000.0);
    washed.excluded = "line_stopped";
    tally.add(washed);
    tally.add_stop(3600.0, 5400.0);
    tally.add_stop(5000.0, 6000.0);
    tally.add(Gap{"contacts", 6000.0, 6600.0, GapCause::kContactsLost});
    const ShiftRecord record = tally.record(0.0, 7200.0);
    CHECK(record.stopped_s == Approx(2400.0));
    CHECK(record.running_s == Approx(4200.0));
    CHECK(*record.line_rate_per_hour == Approx(30.0 * 3600.0 / 4200.0));
    CHECK(*record.coverage.contacts_known == Approx(4200.0 / 4800.0));
}

TEST_CASE("A shift that never ran has no line rate and no coverage") {
    Tally tally(station());
    tally.add_stop(0.0, 100.0);
    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK_FALSE(record.line_rate_per_hour);
    CHECK_FALSE(record.coverage.time_heard);
    CHECK_FALSE(record.coverage.contacts_known);
    CHECK_FALSE(record.coverage.passages);
}

TEST_CASE("Time heard is running time without any microphone's gap, clipped to the shift") {
    Tally tally(station());
    tally.add(Gap{"head", -50.0, 100.0, GapCause::kSilent});
    tally.add(Gap{"entry", 50.0, 150.0, GapCause::kOverrun});
    tally.add(Gap{"head", 950.0, 2000.0, GapCause::kUnplugged});
    const ShiftRecord record = tally.record(0.0, 1000.0);
    CHECK(*record.coverage.time_heard == Approx(0.8));
    CHECK(*record.coverage.contacts_known == 1.0);
}

TEST_CASE("Hold times give median, p95 and maximum by linear interpolation") {
    Tally tally(station());
    for (int i = 1; i <= 4; ++i) {
        Passage held = passage(i);
        held.held_s = 10.0;
        held.stunned_s = 10.0 + i;
        tally.add(held);
    }
    tally.add(passage(5)); // never held
    Passage unknown = excluded_passage(6, "contacts_lost");
    unknown.held_s = 0.0;
    unknown.stunned_s = 500.0;
    tally.add(unknown);
    const Durations held = tally.record(0.0, 1.0).held_for_s;
    CHECK(held.n == 4);
    CHECK(*held.median == Approx(2.5));
    CHECK(*held.p95 == Approx(3.85)); // as numpy.percentile([1, 2, 3, 4], 95)
    CHECK(*held.max == Approx(4.0));
}

TEST_CASE("Hold times need contacts, not hearing, and without any there is none") {
    Tally tally(station());
    CHECK(tally.record(0.0, 1.0).held_for_s.n == 0);
    CHECK_FALSE(tally.record(0.0, 1.0).held_for_s.median);
    Passage unheard = excluded_passage(1, "silent");
    unheard.held_s = 1.0;
    unheard.stunned_s = 9.0;
    tally.add(unheard);
    CHECK(*tally.record(0.0, 1.0).held_for_s.median == 8.0);
}

TEST_CASE("Body hold, time to the stun and the whole restraint are told of each passage that shows them") {
    Tally tally(station());
    Passage whole = passage(1);
    whole.entered_s = 10.0;
    whole.body_held_s = 12.0;
    whole.held_s = 15.0;
    whole.stunned_s = 19.0;
    whole.released_s = 31.0;
    whole.bangs = 2;
    tally.add(whole);
    tally.add(passage(2)); // nothing but its entry was seen
    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.body_held_for_s.n == 1);
    CHECK(*record.body_held_for_s.median == 7.0);
    CHECK(*record.to_stun_s.median == 9.0);
    CHECK(*record.restrained_for_s.median == 21.0);
    CHECK(record.holder_bangs.held == 1);
    CHECK(record.holder_bangs.with_bang == 1);
    CHECK(record.holder_bangs.bangs == 2);
}
