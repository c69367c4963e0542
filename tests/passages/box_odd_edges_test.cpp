// Contacts of a box that come missing, doubled or out of order.
#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

using Lines = std::vector<std::string>;

const std::vector<Role> kEveryRole = {Role::kEntered,  Role::kBodyHeld, Role::kHeld,   Role::kStunned,
                                      Role::kReleased, Role::kProdded,  Role::kStopped};

Outcome box(const char* words, double end_s = 1000) {
    return outcome_of({}, kEveryRole, words, end_s);
}

TEST_CASE("Two different edges in the cycle's order make an animal whose entry is missing: not scored") {
    CHECK(lines_of(box("held 10 stunned 15 released 20")) ==
          Lines{"1: 10 held 10 stunned 15 released 20 end 20 [entered_missing] !entry_not_seen"});
    CHECK(
        lines_of(box("body_held 10 held 12 stunned 15 released 20")) ==
        Lines{"1: 10 body_held 10 held 12 stunned 15 released 20 end 20 [entered_missing] !entry_not_seen"});
    CHECK(box("held 10 stunned 15 released 20").strays.empty());
}

TEST_CASE("A lone edge of the inner cycle is a stray, never an animal") {
    const std::string lone = GENERATE("stunned", "held", "body_held");
    const Outcome outcome = box((lone + " 10 entered 40 stunned 50 released 55").c_str());
    CHECK(lines_of(outcome) == Lines{"1: 40 stunned 50 released 55 end 55"});
    REQUIRE(outcome.strays.size() == 1);
    CHECK(outcome.strays[0].first.time_s == 10);
    CHECK(name_of(outcome.strays[0].first.role) == lone);
}

TEST_CASE("The same edge twice, or two against the cycle's order, are no animal") {
    CHECK(box("held 10 held 15").passages.empty());
    CHECK(stray_lines_of(box("held 10 held 15")).size() == 2);
    CHECK(box("stunned 10 held 15").passages.empty());
    CHECK(box("held 10 body_held 15").passages.empty());
}

TEST_CASE("Two edges more than longest_s apart are no animal") {
    const Outcome outcome = box("held 10 stunned 311");
    CHECK(outcome.passages.empty());
    CHECK(stray_lines_of(outcome) ==
          Lines{"held 10: no second edge told of an animal", "stunned 311: no animal in the restrainer"});
}

TEST_CASE("A release with no animal inside is a stray") {
    CHECK(stray_lines_of(box("released 10 entered 20 stunned 25 released 30 released 31")) ==
          Lines{"released 10: no animal in the restrainer", "released 31: no animal in the restrainer"});
}

TEST_CASE("The hold that lasts into the stun counts, earlier ones are flagged") {
    CHECK(lines_of(box("entered 10 held 12 -held 14 held 16 stunned 20 released 25")) ==
          Lines{"1: 10 held 16 stunned 20 released 25 end 25 [held_again]"});
    CHECK(lines_of(box("entered 10 held 12 -held 19 stunned 20 released 25")) ==
          Lines{"1: 10 held 12 stunned 20 released 25 end 25"});
    CHECK(lines_of(box("entered 10 held 12 held 16 stunned 20 released 25")) ==
          Lines{"1: 10 held 12 stunned 20 released 25 end 25"});
}

TEST_CASE("Contacts out of order are flagged and their times left out") {
    CHECK(lines_of(box("entered 10 stunned 20 held 21 released 25")) ==
          Lines{"1: 10 stunned 20 released 25 end 25 [out_of_order]"});
    CHECK(lines_of(box("entered 10 held 12 body_held 14 stunned 20 released 25")) ==
          Lines{"1: 10 held 12 stunned 20 released 25 end 25 [out_of_order]"});
    CHECK(lines_of(box("entered 10 stunned 20 body_held 21 released 25")) ==
          Lines{"1: 10 stunned 20 released 25 end 25 [out_of_order]"});
}

TEST_CASE("Holding again after the stun changes nothing") {
    CHECK(lines_of(
              box("entered 10 body_held 11 held 12 stunned 20 -held 21 held 22 body_held 23 released 25")) ==
          Lines{"1: 10 body_held 11 held 12 stunned 20 released 25 end 25"});
}

TEST_CASE("An edge older than what was already decided is a stray") {
    Cycle cycle({}, kEveryRole);
    cycle.known_until(20);
    cycle.take({19, Role::kEntered, true});
    cycle.take({20, Role::kEntered, true});
    cycle.finish(30);
    Outcome outcome;
    drain(cycle, outcome);
    CHECK(outcome.passages.size() == 1);
    CHECK(stray_lines_of(outcome) == Lines{"entered 19: came too late: later times were already decided"});
}

TEST_CASE("An edge of a role that is not wired is a stray") {
    const std::vector<Role> wired = {Role::kEntered, Role::kStunned};
    CHECK(stray_lines_of(outcome_of({}, wired, "entered 10 held 12 stunned 20", 30)) ==
          Lines{"held 12: its role is not wired"});
}

TEST_CASE("A station whose contacts can't tell of an animal is refused in one line") {
    const std::vector<Role> wired = {Role::kHeld, Role::kReleased};
    CHECK_THROWS_AS(Cycle({}, wired), Failure);
}

} // namespace
} // namespace quietpass
