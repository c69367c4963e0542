// The rules of a box as examples: what the contacts said, and the passage it makes. Times in seconds.
#include <catch2/catch.hpp>

#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

using Lines = std::vector<std::string>;

const std::vector<Role> kAllRoles = {Role::kEntered,  Role::kBodyHeld, Role::kHeld,   Role::kStunned,
                                     Role::kReleased, Role::kProdded,  Role::kStopped};
const std::vector<Role> kEnteredAndStunned = {Role::kEntered, Role::kStunned};

Lines box(const std::vector<Role>& wired, const char* words, double end_s = 1000) {
    return lines_of(outcome_of({}, wired, words, end_s));
}

TEST_CASE("A passage takes each contact's time, from entered to released") {
    CHECK(box(kAllRoles, "entered 10 body_held 12 held 15 stunned 20 released 25") ==
          Lines{"1: 10 body_held 12 held 15 stunned 20 released 25 end 25"});
}

TEST_CASE("Passages are numbered from 1 in order of entry") {
    CHECK(box(kAllRoles, "entered 10 stunned 20 released 25 entered 40 stunned 52 released 55") ==
          Lines{"1: 10 stunned 20 released 25 end 25", "2: 40 stunned 52 released 55 end 55"});
}

TEST_CASE("Without a released contact a passage ends after_stun_s after its last stun") {
    CHECK(box(kEnteredAndStunned, "entered 10 stunned 20") == Lines{"1: 10 stunned 20 end 50"});
    CHECK(box(kEnteredAndStunned, "entered 10 stunned 20 stunned 24") ==
          Lines{"1: 10 stunned 20 stuns 2 end 54 [second_stun]"});
}

TEST_CASE("Without a released contact the next entry ends a passage that had its stun") {
    CHECK(box(kEnteredAndStunned, "entered 10 stunned 20 entered 31 stunned 41") ==
          Lines{"1: 10 stunned 20 end 31", "2: 31 stunned 41 end 71"});
}

TEST_CASE("With a released contact an entry after the stun ends the passage as never released") {
    CHECK(box(kAllRoles, "entered 10 stunned 20 entered 31 stunned 41 released 45") ==
          Lines{"1: 10 stunned 20 end 31 [never_released]", "2: 31 stunned 41 released 45 end 45"});
}

TEST_CASE("A second entry within shortest_s is the same animal") {
    CHECK(box(kAllRoles, "entered 10 entered 10.5 stunned 20 released 25") ==
          Lines{"1: 10 stunned 20 released 25 end 25 [double_entry]"});
}

TEST_CASE("A later entry makes no second animal while no other contact told of the first") {
    CHECK(box(kEnteredAndStunned, "entered 10 entered 11 stunned 20") ==
          Lines{"1: 10 stunned 20 end 50 [double_entry]"});
    CHECK(box(kAllRoles, "entered 10 entered 40 entered 45 stunned 50 released 55") ==
          Lines{"1: 10 stunned 50 released 55 end 55 [double_entry]"});
    const std::vector<Role> entered_and_released = {Role::kEntered, Role::kReleased};
    CHECK(box(entered_and_released, "entered 10 entered 40 released 55") ==
          Lines{"1: 10 released 55 end 55 [double_entry]"});
}

TEST_CASE("Calls before and after a doubled entry are the one animal's") {
    Cycle cycle({}, kAllRoles);
    for (const Edge& edge : edges_from("entered 10 entered 15 stunned 20 released 25")) cycle.take(edge);
    CHECK(placed(cycle, 12) == "1 entry");
    CHECK(placed(cycle, 17) == "1 entry");
}

TEST_CASE("A box whose inner wires broke gives passages that are not scored, longest_s each") {
    CHECK(box(kAllRoles, "entered 10 entered 110 entered 210 entered 320 entered 420", 500) ==
          Lines{"1: 10 end 310 [double_entry no_stun too_long never_released] !too_long",
                "2: 320 end 500 [double_entry input_ended] !input_ended"});
}

TEST_CASE(
    "With a hold between, a later entry is the next animal's, and the first is not scored without its stun") {
    CHECK(box(kAllRoles, "entered 10 held 15 entered 40 stunned 50 released 55") ==
          Lines{"1: 10 held 15 end 40 [no_stun never_released] !stun_not_seen",
                "2: 40 stunned 50 released 55 end 55"});
    const std::vector<Role> entered_and_held = {Role::kEntered, Role::kHeld};
    CHECK(box(entered_and_held, "entered 10 held 15 entered 40 held 45 entered 70", 80) ==
          Lines{"1: 10 held 15 end 40", "2: 40 held 45 end 70", "3: 70 end 80 [input_ended] !input_ended"});
}

TEST_CASE("A passage longer than longest_s is ended there") {
    CHECK(box(kAllRoles, "entered 10 stunned 20") ==
          Lines{"1: 10 stunned 20 end 310 [too_long never_released]"});
    CHECK(box(kEnteredAndStunned, "entered 10") == Lines{"1: 10 end 310 [no_stun too_long] !too_long"});
}

TEST_CASE("Time that the line stands does not count towards longest_s, but no more than longest_s of it") {
    CHECK(box(kAllRoles, "entered 10 held 15 stopped 20 -stopped 270 stunned 320 released 330") ==
          Lines{"1: 10 held 15 stunned 320 released 330 end 330 [line_stopped]"});
    CHECK(box(kAllRoles, "entered 10 held 15 stopped 20 -stopped 70") ==
          Lines{"1: 10 held 15 end 360 [line_stopped no_stun too_long never_released] !too_long"});
    CHECK(box(kAllRoles, "entered 10 held 15 stopped 20") ==
          Lines{"1: 10 held 15 end 610 [line_stopped no_stun too_long never_released] !too_long"});
    // What stood before it came is not its own.
    CHECK(box(kAllRoles, "stopped 1 -stopped 8 entered 10 held 15") ==
          Lines{"1: 10 held 15 end 310 [no_stun too_long never_released] !too_long"});
}

TEST_CASE("What the contacts tell of an animal after its passage became too long is not scored") {
    CHECK(box(kAllRoles, "entered 10 body_held 12 held 320 stunned 330 released 340") ==
          Lines{"1: 10 body_held 12 end 310 [no_stun too_long never_released] !too_long",
                "2: 320 held 320 stunned 330 released 340 end 340 [entered_missing] !entry_not_seen"});
}

TEST_CASE("Released without a stun it is not scored: its calls before and after can't be told apart") {
    CHECK(box(kAllRoles, "entered 10 released 25") ==
          Lines{"1: 10 released 25 end 25 [no_stun] !stun_not_seen"});
}

TEST_CASE("Released too soon with no stun and nothing held was no animal") {
    CHECK(box(kAllRoles, "entered 10 released 10.9") ==
          Lines{"1: 10 released 10.9 end 10.9 [too_short] !no_animal"});
    CHECK(box(kAllRoles, "entered 10 held 10.5 released 10.9") ==
          Lines{"1: 10 held 10.5 released 10.9 end 10.9 [no_stun] !stun_not_seen"});
    CHECK(box(kAllRoles, "entered 10 stunned 10.5 released 10.9") ==
          Lines{"1: 10 stunned 10.5 released 10.9 end 10.9"});
    CHECK(box(kAllRoles, "entered 10 released 11") ==
          Lines{"1: 10 released 11 end 11 [no_stun] !stun_not_seen"});
}

TEST_CASE("A station without a stun contact misses no stun") {
    const std::vector<Role> entered_and_released = {Role::kEntered, Role::kReleased};
    CHECK(box(entered_and_released, "entered 10 released 25") == Lines{"1: 10 released 25 end 25"});
    CHECK(box(entered_and_released, "entered 10", 25) == Lines{"1: 10 end 25 [input_ended] !input_ended"});
    const std::vector<Role> entered_alone = {Role::kEntered};
    CHECK(box(entered_alone, "entered 10 entered 30", 50) ==
          Lines{"1: 10 end 30", "2: 30 end 50 [input_ended]"});
    CHECK(box(entered_alone, "entered 10") == Lines{"1: 10 end 310 [too_long]"});
}

TEST_CASE("Stuns are counted and the first one's time is kept") {
    CHECK(box(kAllRoles, "entered 10 stunned 20 stunned 22 stunned 23 released 25") ==
          Lines{"1: 10 stunned 20 stuns 3 released 25 end 25 [second_stun]"});
}

TEST_CASE("A cut in place of the stun works the same and a second cut is counted, not flagged") {
    const std::vector<Role> with_cut = {Role::kEntered, Role::kHeld, Role::kCut, Role::kReleased};
    CHECK(box(with_cut, "entered 10 held 12 cut 20 cut 21 released 25") ==
          Lines{"1: 10 held 12 stunned 20 stuns 2 released 25 end 25"});
    CHECK(box(with_cut, "entered 10 released 25") ==
          Lines{"1: 10 released 25 end 25 [no_stun] !stun_not_seen"});
}

TEST_CASE("Where stun and cut are both wired the cut is no second stun") {
    const std::vector<Role> both = {Role::kEntered, Role::kStunned, Role::kCut, Role::kReleased};
    CHECK(box(both, "entered 10 stunned 20 cut 30 released 40") ==
          Lines{"1: 10 stunned 20 released 40 end 40"});
}

TEST_CASE("Prods count within the passage, and before it those that got the animal in") {
    CHECK(box(kAllRoles,
              "prodded 8 entered 10 prodded 11 -prodded 11.5 prodded 12 stunned 20 released 25 prodded 26") ==
          Lines{"1: 10 stunned 20 prods 3 released 25 end 25"});
    CHECK(box(kAllRoles,
              "entered 10 stunned 20 prodded 22 released 25 prodded 26 prodded 41 entered 60 stunned 70 "
              "released 75 entered 80 stunned 90 released 95") ==
          Lines{"1: 10 stunned 20 prods 1 released 25 end 25", "2: 60 stunned 70 prods 1 released 75 end 75",
                "3: 80 stunned 90 released 95 end 95"});
}

TEST_CASE("Where no release is seen, prods after the stun are for the next animal") {
    const std::vector<Role> unreleased = {Role::kEntered, Role::kStunned, Role::kProdded};
    CHECK(box(unreleased, "entered 10 prodded 11 stunned 20 prodded 24 prodded 25 entered 30 stunned 40") ==
          Lines{"1: 10 stunned 20 prods 1 end 30", "2: 30 stunned 40 prods 2 end 70"});
}

TEST_CASE("Prods before an edge that was no animal's go to the animal that comes") {
    CHECK(box(kAllRoles, "prodded 4 held 5 prodded 6 entered 10 stunned 20 released 25") ==
          Lines{"1: 10 stunned 20 prods 2 released 25 end 25"});
}

TEST_CASE("A passage that begins while the line is stopped is excluded, one already open is flagged") {
    CHECK(box(kAllRoles, "stopped 5 entered 10 -stopped 15 stunned 20 released 25") ==
          Lines{"1: 10 stunned 20 released 25 end 25 !line_stopped"});
    CHECK(box(kAllRoles, "entered 10 stopped 12 -stopped 15 stunned 20 released 25") ==
          Lines{"1: 10 stunned 20 released 25 end 25 [line_stopped]"});
    CHECK(box(kAllRoles, "stopped 5 -stopped 10 entered 10 stunned 20 released 25") ==
          Lines{"1: 10 stunned 20 released 25 end 25"});
}

TEST_CASE("At the input's end an animal not yet stunned is not scored, one that was stunned is") {
    CHECK(box(kAllRoles, "entered 10", 15) == Lines{"1: 10 end 15 [input_ended] !input_ended"});
    CHECK(box(kAllRoles, "entered 10 stunned 12", 15) == Lines{"1: 10 stunned 12 end 15 [input_ended]"});
}

} // namespace
} // namespace quietpass
