#include <catch2/catch.hpp>

#include "daemon/passages/line_stops.h"
#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

const std::vector<Role> kStopRoles = {Role::kEntered, Role::kStunned, Role::kStopped};

TEST_CASE("Stops are handed out once over, a stop at the input's end ends there") {
    const Outcome outcome =
        outcome_of({}, kStopRoles, "stopped 10 stopped 11 -stopped 20 -stopped 21 stopped 30", 40);
    CHECK(outcome.stops == std::vector<std::pair<double, double>>{{10, 20}, {30, 40}});
}

TEST_CASE("The running clock stands still during stops, also those forgotten") {
    LineStops stops;
    stops.take(10, true);
    stops.take(15, false);
    stops.take(20, true);
    CHECK(stops.running_s(10) == 10);
    CHECK(stops.running_s(12) == 10);
    CHECK(stops.running_s(18) == 13);
    CHECK(stops.running_s(25) == 15);
    double start_s = 0, end_s = 0;
    REQUIRE(stops.take_stop(start_s, end_s));
    CHECK_FALSE(stops.take_stop(start_s, end_s));
    stops.forget_before(16);
    CHECK(stops.running_s(18) == 13);
    CHECK(stops.running_s(25) == 15);
    CHECK_FALSE(stops.stopped_at(12));
    CHECK(stops.stopped_at(20));
}

} // namespace
} // namespace quietpass
