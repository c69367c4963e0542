// What a shift says of the stun: calls at and after it, second stuns, the share stunned once.

#include <catch2/catch.hpp>

#include "tests/shifts/tally_rows.h"

using namespace quietpass;
using namespace quietpass::test;

TEST_CASE("Calls after the stun are reported from every passage and never enter the percentage") {
    Tally tally(station());
    Passage quiet = passage(1);
    quiet.calls_after_stun = 2;
    tally.add(quiet);
    tally.add(call(1, Phase::kAfterStun, false));
    Passage unheard = excluded_passage(2, "overrun");
    unheard.calls_after_stun = 1;
    tally.add(unheard);
    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.calls_after_stun == 3);
    CHECK(record.vocal == 0);
    CHECK(*record.percent == 0.0);
    CHECK(record.in(Phase::kAfterStun).counted_calls == 0);
}

TEST_CASE("Calls at the stun are reported by themselves for pigs only") {
    Passage squealing = vocal_passage(1, 2);
    squealing.calls_at_stun = 2;
    Tally pigs(station(Species::kPig));
    pigs.add(squealing);
    CHECK(pigs.record(0.0, 1.0).calls_at_stun == 2);
    CHECK(Tally(station(Species::kPig)).record(0.0, 1.0).calls_at_stun == 0);
    Tally cattle(station());
    cattle.add(squealing);
    CHECK_FALSE(cattle.record(0.0, 1.0).calls_at_stun);
}

TEST_CASE(
    "Squeals at the stun are a figure by itself, of scored pigs that were stunned, with a limit of its own") {
    Tally pigs(station(Species::kPig));
    for (int i = 1; i <= 200; ++i) {
        Passage pig = i <= 3 ? vocal_passage(i, 1) : passage(i);
        pig.stuns = 1;
        pig.calls_at_stun = i <= 2 ? 2 : 0; // the third squealed before
        pigs.add(pig);
    }
    Passage unheard = excluded_passage(201, "overrun");
    unheard.stuns = 1;
    unheard.calls_at_stun = 1;
    pigs.add(unheard);
    pigs.add(passage(202)); // never stunned
    const auto squeals = pigs.record(0.0, 1.0).squeals_at_stun;
    REQUIRE(squeals);
    CHECK(squeals->stunned == 200);
    CHECK(squeals->squealed == 2);
    CHECK(*squeals->percent == 1.0);
    CHECK(*squeals->percent_low == Approx(0.27467).epsilon(1e-4)); // Wilson, computed apart
    CHECK(*squeals->percent_high == Approx(3.57218).epsilon(1e-4));
    CHECK(squeals->limit_percent == 1.0);
    CHECK(squeals->verdict == Verdict::kWithinLimit);

    StationSettings strict = station(Species::kPig);
    strict.scoring.squeal_at_stun_limit_percent = 0.0;
    Tally none(strict);
    Passage squealing = vocal_passage(1, 1);
    squealing.stuns = squealing.calls_at_stun = 1;
    none.add(squealing);
    CHECK(none.record(0.0, 1.0).squeals_at_stun->verdict == Verdict::kOverLimit);
    CHECK_FALSE(Tally(station()).record(0.0, 1.0).squeals_at_stun);
    CHECK(Tally(station(Species::kPig)).record(0.0, 1.0).squeals_at_stun->verdict == Verdict::kNotScored);
}

TEST_CASE("A second stun is counted once for its animal") {
    Tally tally(station());
    Passage twice = passage(1);
    twice.stuns = 3;
    tally.add(twice);
    tally.add(passage(2));
    CHECK(tally.record(0.0, 1.0).stunned_twice == 1);
}

TEST_CASE("The share stunned once is of those that were stunned, and stands with its interval") {
    Tally tally(station());
    for (int id = 1; id <= 29; ++id) {
        Passage once = passage(id);
        once.stuns = id == 29 ? 0 : 1; // the last one's stun was not seen
        tally.add(once);
    }
    Passage twice = passage(30);
    twice.stuns = 2;
    tally.add(twice);
    const auto once = tally.record(0.0, 1.0).stunned_once;
    REQUIRE(once);
    CHECK(once->stunned == 29);
    CHECK(once->once == 28);
    // Wilson for 1 of 29 is .0061 to .1718 (Newcombe 1998), and so 28 of 29 is .8282 to .9939.
    CHECK(*once->percent_low == Approx(82.82).margin(0.006));
    CHECK(*once->percent_high == Approx(99.39).margin(0.006));
}

TEST_CASE("On a station with `cut` a second cut is no second stun") {
    StationSettings settings = station();
    settings.contacts.emplace_back().role = Role::kCut;
    Tally tally(settings);
    Passage twice = passage(1);
    twice.stuns = 2;
    tally.add(twice);
    CHECK(tally.record(0.0, 1.0).stunned_twice == 0);
    CHECK_FALSE(tally.record(0.0, 1.0).stunned_once);
}
