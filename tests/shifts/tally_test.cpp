#include "daemon/shifts/tally.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

StationSettings station(Species species = Species::kCattle) {
    StationSettings settings;
    settings.name = "box-2";
    settings.species = species;
    settings.timezone = "America/Denver";
    settings.scoring = {5.0, "a guide, an edition"};
    return settings;
}

Passage passage(std::int64_t id, double entered_s = 0.0) {
    Passage out;
    out.id = id;
    out.entered_s = entered_s;
    out.end_s = entered_s + 20.0;
    return out;
}

Passage vocal_passage(std::int64_t id, int calls = 1) {
    Passage out = passage(id);
    out.vocal = true;
    out.calls = calls;
    return out;
}

Passage excluded_passage(std::int64_t id, const std::string& reason, bool covered = false) {
    Passage out = passage(id);
    out.excluded = reason;
    out.covered = covered;
    return out;
}

StationCall call(std::int64_t passage_id, Phase phase, bool counted = true) {
    StationCall out;
    out.passage_id = passage_id;
    out.phase = phase;
    out.counted = counted;
    return out;
}

} // namespace

TEST_CASE("The animal is the unit: several calls make one vocal passage") {
    Tally tally(station());
    tally.add(vocal_passage(1, 4));
    for (int i = 0; i < 4; ++i) tally.add(call(1, Phase::kHeld));
    tally.add(passage(2));
    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.scored == 2);
    CHECK(record.vocal == 1);
    CHECK(*record.percent == 50.0);
    CHECK(record.in(Phase::kHeld).vocal_passages == 1);
    CHECK(record.in(Phase::kHeld).counted_calls == 4);
}

TEST_CASE("Without a scored passage there is no percentage, never 0 %") {
    Tally tally(station());
    ShiftRecord record = tally.record(0.0, 100.0);
    CHECK_FALSE(record.percent);
    CHECK_FALSE(record.percent_low);
    CHECK_FALSE(record.percent_high);
    CHECK(record.verdict == Verdict::kNotScored);
    CHECK_FALSE(record.interval_contains_limit);
    CHECK(record.not_scored_because == "no passage in this shift");

    tally.add(excluded_passage(1, "silent"));
    record = tally.record(0.0, 100.0);
    CHECK_FALSE(record.percent);
    CHECK(record.verdict == Verdict::kNotScored);
    CHECK_FALSE(record.not_scored_because.empty());
}

TEST_CASE("A passage that was not heard is excluded with its reason and its calls don't enter the figures") {
    Tally tally(station());
    tally.add(passage(1));
    Passage unheard = vocal_passage(2);
    unheard.covered = false;
    unheard.excluded = "clipped";
    tally.add(unheard);
    tally.add(call(2, Phase::kEntry));
    tally.add(excluded_passage(3, "silent"));
    tally.add(excluded_passage(4, "silent"));
    Passage nameless = passage(5);
    nameless.covered = false;
    tally.add(nameless);

    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.passages == 5);
    CHECK(record.scored == 1);
    CHECK(record.vocal == 0);
    CHECK(record.excluded ==
          std::map<std::string, std::int64_t>{{"clipped", 1}, {"silent", 2}, {"not_covered", 1}});
    CHECK(record.in(Phase::kEntry).counted_calls == 0);
    CHECK(*record.coverage.passages == Approx(0.2));
}

TEST_CASE("Calls count by phase, whether they come before or after their passage") {
    Tally tally(station());
    tally.add(call(1, Phase::kEntry));
    tally.add(call(1, Phase::kAtStun));
    tally.add(vocal_passage(1, 2));
    tally.add(vocal_passage(2));
    tally.add(call(2, Phase::kEntry));
    tally.add(call(2, Phase::kHeld, false));
    StationCall upstream;
    upstream.counted = false;
    tally.add(upstream);

    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.in(Phase::kEntry).vocal_passages == 2);
    CHECK(record.in(Phase::kEntry).counted_calls == 2);
    CHECK(record.in(Phase::kAtStun).vocal_passages == 1);
    CHECK(record.in(Phase::kHeld).vocal_passages == 0);
    CHECK(record.vocal == 2);
}

TEST_CASE("Exactly at the limit is within it, one animal more is over") {
    const auto verdict_of = [](int vocal, int animals, double limit_percent) {
        StationSettings settings = station();
        settings.scoring.limit_percent = limit_percent;
        Tally tally(settings);
        for (int id = 1; id <= animals; ++id) tally.add(id <= vocal ? vocal_passage(id) : passage(id));
        return tally.record(0.0, 1.0).verdict;
    };
    CHECK(verdict_of(5, 100, 5.0) == Verdict::kWithinLimit);
    CHECK(verdict_of(6, 100, 5.0) == Verdict::kOverLimit);
    CHECK(verdict_of(33, 1000, 3.3) == Verdict::kWithinLimit);
    CHECK(verdict_of(34, 1000, 3.3) == Verdict::kOverLimit);
    CHECK(verdict_of(0, 1, 0.0) == Verdict::kWithinLimit);
    CHECK(verdict_of(1, 1, 0.0) == Verdict::kOverLimit);
}

TEST_CASE("A verdict from few animals says that its interval holds the limit") {
    Tally few(station());
    for (int id = 1; id <= 20; ++id) few.add(id <= 2 ? vocal_passage(id) : passage(id));
    CHECK(few.record(0.0, 1.0).verdict == Verdict::kOverLimit);
    CHECK(few.record(0.0, 1.0).interval_contains_limit == true);

    Tally many(station());
    for (int id = 1; id <= 2000; ++id) many.add(id <= 200 ? vocal_passage(id) : passage(id));
    CHECK(many.record(0.0, 1.0).interval_contains_limit == false);
}

TEST_CASE("Sheep are never scored and the record says why") {
    Tally tally(station(Species::kSheep));
    tally.add(vocal_passage(1));
    tally.add(call(1, Phase::kEntry));
    tally.add(excluded_passage(2, "silent"));
    const ShiftRecord record = tally.record(0.0, 100.0);
    CHECK(record.scored == 0);
    CHECK(record.vocal == 0);
    CHECK_FALSE(record.percent);
    CHECK(record.verdict == Verdict::kNotScored);
    CHECK(record.not_scored_because.find("never scored for sheep") != std::string::npos);
    CHECK(record.excluded == std::map<std::string, std::int64_t>{{"silent", 1}, {"species_not_scored", 1}});
    CHECK(record.in(Phase::kEntry).counted_calls == 0);
}

TEST_CASE("Pigs are scored in a box and not where several ride in line") {
    StationSettings settings = station(Species::kPig);
    Tally box(settings);
    box.add(vocal_passage(1));
    CHECK(box.record(0.0, 1.0).scored == 1);

    settings.restraint.kind = RestraintKind::kConveyor;
    Tally line(settings);
    line.add(vocal_passage(1));
    const ShiftRecord record = line.record(0.0, 1.0);
    CHECK(record.scored == 0);
    CHECK_FALSE(record.percent);
    CHECK(record.excluded == std::map<std::string, std::int64_t>{{"several_in_line", 1}});
    CHECK_FALSE(record.not_scored_because.empty());

    settings.species = Species::kCattle;
    Tally cattle(settings);
    cattle.add(vocal_passage(1));
    CHECK(cattle.record(0.0, 1.0).scored == 1);
}

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

TEST_CASE("The order of what is added does not matter") {
    Tally forward(station());
    Tally backward(station());
    std::vector<Passage> passages;
    for (int id = 1; id <= 9; ++id) {
        passages.push_back(id % 3 == 0 ? vocal_passage(id) : passage(id, 0.1 * id));
        passages.back().held_s = 0.3 * id;
        passages.back().stunned_s = 0.7 * id;
    }
    for (const Passage& one : passages) forward.add(one);
    for (auto one = passages.rbegin(); one != passages.rend(); ++one) backward.add(*one);
    forward.add(Gap{"a", 0.1, 0.3, GapCause::kSilent});
    forward.add(Gap{"b", 0.2, 0.7, GapCause::kSilent});
    backward.add(Gap{"b", 0.2, 0.7, GapCause::kSilent});
    backward.add(Gap{"a", 0.1, 0.3, GapCause::kSilent});
    const ShiftRecord one = forward.record(0.0, 10.0);
    const ShiftRecord other = backward.record(0.0, 10.0);
    CHECK(one.percent == other.percent);
    CHECK(one.held_for_s.p95 == other.held_for_s.p95);
    CHECK(one.coverage.time_heard == other.coverage.time_heard);
    CHECK(one.line_rate_per_hour == other.line_rate_per_hour);
}

TEST_CASE("An impossible confidence is refused when the tally is made") {
    CHECK_THROWS_AS(Tally(station(), 1.5), std::invalid_argument);
}
