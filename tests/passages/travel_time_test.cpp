#include <catch2/catch.hpp>

#include <limits>

#include "daemon/passages/travel_time.h"

namespace quietpass {
namespace {

using Pick = TravelTime::Pick;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

// Animals 8, 10, 12, 8 … s apart that travel 40 s, seen shifted by one: each sample's own time is the one
// ahead's.
TravelTime::Lags shifted_sample(int i) {
    const double gap_s = 8 + 2 * (i % 3);
    return {kNone, kNone, 40 + gap_s, 40, kNone};
}

TravelTime learned_40s() {
    TravelTime travel;
    for (int i = 0; i < 10; ++i) travel.learn({kNone, kNone, 40 + 0.1 * (i % 3), kNone, kNone});
    return travel;
}

TEST_CASE("Until enough animals have passed a closing is the oldest's") {
    TravelTime travel;
    CHECK(travel.pick(3, 1) == Pick::kOldest);
    CHECK_FALSE(travel.known());
}

TEST_CASE("A closing is the oldest's unless the one behind fits far better or it is too early for both") {
    CHECK(learned_40s().pick(40, 30) == Pick::kOldest);
    CHECK(learned_40s().pick(42, 35) == Pick::kOldest);
    CHECK(learned_40s().pick(50, 40) == Pick::kNext);
    CHECK(learned_40s().pick(50, std::nullopt) == Pick::kOldest);
    CHECK(learned_40s().pick(70, 60) == Pick::kOldest);
    CHECK(learned_40s().pick(30, 20) == Pick::kNobody);
}

TEST_CASE("Small doubts add up from closing to closing, and a closing that fits ends them") {
    TravelTime travel = learned_40s(); // spread 0.8 s: the least it believes in
    CHECK(travel.pick(42, 39.9) == Pick::kOldest);
    CHECK(travel.pick(42, 39.9) == Pick::kNext);
    CHECK(travel.pick(42, 39.9) == Pick::kOldest);
    CHECK(travel.pick(40, 37.9) == Pick::kOldest);
    CHECK(travel.pick(42, 39.9) == Pick::kOldest);
}

TEST_CASE("After three odd closings in a row the travel time is learned anew") {
    TravelTime travel = learned_40s();
    travel.misfit(false);
    travel.misfit(false);
    CHECK(travel.known());
    travel.misfit(false);
    CHECK_FALSE(travel.known());
}

TEST_CASE("Two animals in a row that entered an empty line and did not fit show that it was mislearned") {
    TravelTime travel = learned_40s();
    CHECK_FALSE(travel.misfit(true));
    travel.learn({kNone, kNone, 40, kNone, kNone});
    travel.fit_from_empty_line();
    CHECK_FALSE(travel.misfit(true));
    travel.learn({kNone, kNone, 40, kNone, kNone});
    CHECK(travel.known());
    CHECK(travel.misfit(true));
    CHECK_FALSE(travel.known());
}

TEST_CASE("Where animals travel less evenly than they are apart, order alone decides") {
    TravelTime travel;
    for (int i = 0; i < 20; ++i) {
        const double travel_s = 40 + 2 * (i % 5);
        travel.learn({kNone, travel_s + 8, travel_s, kNone, kNone});
    }
    CHECK(travel.known());
    CHECK(travel.pick(60, 44) == Pick::kOldest);
    CHECK(travel.pick(20, std::nullopt) == Pick::kOldest);
}

TEST_CASE("A travel time learned shifted by one animal is put right") {
    TravelTime travel;
    for (int i = 0; i < 8; ++i) travel.learn(shifted_sample(i));
    CHECK(travel.expected_s() > 45);
    travel.learn(shifted_sample(8));
    CHECK(travel.expected_s() == Approx(40));
}

} // namespace
} // namespace quietpass
