// Stations without an `entered` contact: the stun makes the passage.
#include <catch2/catch.hpp>

#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

using Lines = std::vector<std::string>;

const std::vector<Role> kStunAlone = {Role::kStunned};
const std::vector<Role> kStunAndReleased = {Role::kStunned, Role::kReleased};
const std::vector<Role> kStunAndHolds = {Role::kBodyHeld, Role::kHeld, Role::kStunned, Role::kProdded,
                                         Role::kStopped};

Outcome run(const std::vector<Role>& wired, const char* words, double end_s = 1000,
            RestraintKind kind = RestraintKind::kBox) {
    RestraintSettings settings;
    settings.kind = kind;
    return outcome_of(settings, wired, words, end_s);
}

TEST_CASE("A stun alone makes a passage that began entry_before_s earlier") {
    CHECK(lines_of(run(kStunAlone, "stunned 100")) == Lines{"1: 80 stunned 100 end 130 [entry_assumed]"});
}

TEST_CASE("An assumed entry is not before the last passage's end") {
    CHECK(lines_of(run(kStunAlone, "stunned 100 stunned 140")) ==
          Lines{"1: 80 stunned 100 end 130 [entry_assumed]", "2: 130 stunned 140 end 170 [entry_assumed]"});
    CHECK(lines_of(run(kStunAndReleased, "stunned 100 released 105 stunned 110 released 115")) ==
          Lines{"1: 80 stunned 100 released 105 end 105 [entry_assumed]",
                "2: 105 stunned 110 released 115 end 115 [entry_assumed]"});
}

TEST_CASE("A stun within after_stun_s of an animal's first is its second, a later one the next animal's") {
    CHECK(lines_of(run(kStunAlone, "stunned 100 stunned 120")) ==
          Lines{"1: 80 stunned 100 stuns 2 end 150 [entry_assumed second_stun]"});
    CHECK(lines_of(run(kStunAlone, "stunned 100 stunned 120 stunned 135")) ==
          Lines{"1: 80 stunned 100 stuns 2 end 130 [entry_assumed second_stun]",
                "2: 130 stunned 135 end 165 [entry_assumed]"});
    CHECK(lines_of(run(kStunAndReleased, "stunned 100 stunned 160 released 165")) ==
          Lines{"1: 80 stunned 100 end 140 [entry_assumed never_released]",
                "2: 140 stunned 160 released 165 end 165 [entry_assumed]"});
}

TEST_CASE("A hold longer than entry_before_s moves the assumed entry to its start") {
    CHECK(lines_of(run(kStunAndHolds, "held 60 stunned 100")) ==
          Lines{"1: 60 held 60 stunned 100 end 130 [entry_assumed]"});
    CHECK(lines_of(run(kStunAndHolds, "body_held 90 held 95 stunned 100")) ==
          Lines{"1: 80 body_held 90 held 95 stunned 100 end 130 [entry_assumed]"});
}

TEST_CASE("A hold well after the stun is the next animal's") {
    CHECK(lines_of(run(kStunAndHolds, "held 95 stunned 100 held 115 stunned 120")) ==
          Lines{"1: 80 held 95 stunned 100 end 115 [entry_assumed]",
                "2: 115 held 115 stunned 120 end 150 [entry_assumed]"});
}

TEST_CASE("Holds without a stun are strays") {
    const Outcome outcome = run(kStunAndHolds, "body_held 10 held 12 body_held 30 held 32 stunned 40");
    CHECK(lines_of(outcome) == Lines{"1: 20 body_held 30 held 32 stunned 40 end 70 [entry_assumed]"});
    CHECK(stray_lines_of(outcome) == Lines{"body_held 10: no second edge told of an animal",
                                           "held 12: no second edge told of an animal"});
}

TEST_CASE("Prods count from the assumed entry on, and go to the animal that turns out to be inside") {
    CHECK(lines_of(run(kStunAndHolds, "prodded 70 prodded 85 prodded 90 stunned 100 prodded 101")) ==
          Lines{"1: 80 stunned 100 prods 3 end 130 [entry_assumed]"});
}

TEST_CASE(
    "A stop that began between the assumed entry and the stun is flagged, an entry during one excluded") {
    CHECK(lines_of(run(kStunAndHolds, "stopped 85 -stopped 90 stunned 100")) ==
          Lines{"1: 80 stunned 100 end 130 [entry_assumed line_stopped]"});
    CHECK(lines_of(run(kStunAndHolds, "stopped 75 -stopped 90 stunned 100")) ==
          Lines{"1: 80 stunned 100 end 130 [entry_assumed] !line_stopped"});
}

TEST_CASE("On a conveyor only a stun within shortest_s is the same animal's") {
    CHECK(
        lines_of(run(kStunAlone, "stunned 100 stunned 100.8 stunned 108", 1000, RestraintKind::kConveyor)) ==
        Lines{"1: 80 stunned 100 stuns 2 end 101 [entry_assumed second_stun]",
              "2: 101 stunned 108 end 138 [entry_assumed]"});
}

TEST_CASE("A cut makes a passage as a stun does") {
    CHECK(lines_of(run({Role::kCut}, "cut 100 cut 110")) ==
          Lines{"1: 80 stunned 100 stuns 2 end 140 [entry_assumed]"});
}

} // namespace
} // namespace quietpass
