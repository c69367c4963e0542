// Where a moment lies, and from when on that is final.
#include <catch2/catch.hpp>

#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

const std::vector<Role> kAllRoles = {Role::kEntered, Role::kBodyHeld, Role::kHeld,
                                     Role::kStunned, Role::kReleased, Role::kStopped};

Cycle fed(const char* words, const std::vector<Role>& wired = kAllRoles,
          const RestraintSettings& settings = {}) {
    Cycle cycle(settings, wired);
    for (const Edge& edge : edges_from(words)) cycle.take(edge);
    return cycle;
}

TEST_CASE("The words of the phases are those of the tables") {
    CHECK(name_of(Phase::kEntry) == "entry");
    CHECK(name_of(Phase::kBodyHeld) == "body_held");
    CHECK(name_of(Phase::kHeld) == "held");
    CHECK(name_of(Phase::kAtStun) == "at_stun");
    CHECK(name_of(Phase::kAfterStun) == "after_stun");
}

TEST_CASE("A moment of a passage has the phase its contacts say") {
    Cycle cycle = fed("entered 10 body_held 12 held 15 stunned 20 released 25");
    cycle.finish(100);
    const auto [onset_s, where] = GENERATE(table<double, std::string>({{9.99, "no animal in the restrainer"},
                                                                       {10, "1 entry"},
                                                                       {11.9, "1 entry"},
                                                                       {12, "1 body_held"},
                                                                       {15, "1 held"},
                                                                       {19.49, "1 held"},
                                                                       {19.5, "1 at_stun"},
                                                                       {20.5, "1 at_stun"},
                                                                       {20.51, "1 after_stun"},
                                                                       {24.9, "1 after_stun"},
                                                                       {25, "no animal in the restrainer"}}));
    CAPTURE(onset_s);
    CHECK(placed(cycle, onset_s) == where);
}

TEST_CASE("Phases whose contact is not there are passed over") {
    Cycle cycle = fed("entered 10 stunned 20", {Role::kEntered, Role::kStunned});
    cycle.finish(100);
    CHECK(placed(cycle, 19) == "1 entry");
    CHECK(placed(cycle, 20) == "1 at_stun");
    CHECK(placed(cycle, 49) == "1 after_stun");
    CHECK(placed(cycle, 50) == "no animal in the restrainer");
}

TEST_CASE("Between two holds of the head the phase is what it was before the first") {
    Cycle cycle = fed("entered 10 body_held 11 held 12 -held 14 held 16 stunned 20 released 25");
    CHECK(placed(cycle, 13) == "1 held");
    CHECK(placed(cycle, 15) == "1 body_held");
    CHECK(placed(cycle, 17) == "1 held");
}

TEST_CASE("A call after the release of an animal stunned just now is in no passage") {
    Cycle cycle = fed("entered 10 stunned 20 released 20.2");
    CHECK(placed(cycle, 20.1) == "1 at_stun");
    CHECK(placed(cycle, 20.3) == "no animal in the restrainer");
}

TEST_CASE("While the line is stopped and nobody is inside, that is the reason") {
    Cycle cycle = fed("stopped 5 -stopped 50 entered 60");
    CHECK(placed(cycle, 30) == "line stopped");
    CHECK(placed(cycle, 55) == "no animal in the restrainer");
}

TEST_CASE("An entry that was missed still places the calls after the first edge seen") {
    Cycle cycle = fed("held 10");
    cycle.known_until(14);
    CHECK(cycle.placeable_until_s() == 10);
    cycle.take({15, Role::kStunned, true});
    CHECK(placed(cycle, 11) == "1 held");
    CHECK(cycle.placeable_until_s() == 15);
}

TEST_CASE("A call can be placed at_stun_s behind while an unstunned animal is inside, at once otherwise") {
    Cycle cycle = fed("");
    cycle.known_until(9);
    CHECK(cycle.placeable_until_s() == 9);
    cycle.take({10, Role::kEntered, true});
    CHECK(cycle.placeable_until_s() == 10);
    cycle.known_until(15);
    CHECK(cycle.placeable_until_s() == 14.5);
    cycle.take({20, Role::kStunned, true});
    CHECK(cycle.placeable_until_s() == 20);
    cycle.known_until(22);
    CHECK(cycle.placeable_until_s() == 22);
}

TEST_CASE("A station without an entered contact looks entry_before_s ahead") {
    Cycle cycle = fed("", {Role::kStunned});
    cycle.known_until(100);
    CHECK(cycle.placeable_until_s() == 80);
    cycle.take({110, Role::kStunned, true});
    CHECK(cycle.placeable_until_s() == 110);
    cycle.known_until(130);
    CHECK(cycle.placeable_until_s() == 130);
    CHECK(placed(cycle, 91) == "1 entry");
    CHECK(placed(cycle, 129) == "1 after_stun");
    cycle.known_until(145);
    CHECK(cycle.placeable_until_s() == 140);
}

} // namespace
} // namespace quietpass
