// The share of vocal animals: who counts, what is left out, the verdict.

#include <catch2/catch.hpp>

#include "tests/shifts/tally_rows.h"

using namespace quietpass;
using namespace quietpass::test;

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
