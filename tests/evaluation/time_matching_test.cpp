#include "classifiers/evaluation/time_matching.h"

#include <rapidcheck/catch.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

using namespace quietpass::evaluation;

TEST_CASE("Entries find their partner by time, whatever row they stand in") {
    const auto partner =
        match_times(std::vector<double>{8.0, 54.95, 102.9}, std::vector<double>{102.88, 8.1}, 0.5);
    CHECK(partner[0] == 1U);
    CHECK_FALSE(partner[1]);
    CHECK(partner[2] == 0U);
}

TEST_CASE("Where two could be meant the closer one is") {
    const auto partner = match_times(std::vector<double>{10.0, 10.4}, std::vector<double>{10.3, 10.6}, 0.5);
    CHECK(partner[1] == 0U);
    CHECK_FALSE(partner[0]); // 10.6 is too far from it
}

TEST_CASE("No partner is shared and none is too far") {
    rc::prop("for any times", [] {
        const auto times = [] {
            const auto tenths = *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 300));
            std::vector<double> out;
            for (const int tenth : tenths) out.push_back(tenth / 10.0);
            return out;
        };
        const auto wanted = times();
        const auto found = times();
        const auto partner = match_times(wanted, found, 0.5);
        std::set<std::size_t> taken;
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            if (!partner[i]) continue;
            RC_ASSERT(taken.insert(*partner[i]).second);
            RC_ASSERT(std::abs(found[*partner[i]] - wanted[i]) <= 0.5 + 1e-9);
        }
    });
}

TEST_CASE("Spans that only touch have nothing in common") {
    CHECK(overlap_s({1.0, 2.0}, {2.0, 3.0}) == 0.0);
    CHECK(overlap_s({1.0, 2.0}, {1.5, 3.0}) == Approx(.5));
    CHECK(overlap_s({1.0, 2.0}, {3.0, 4.0}) == 0.0);
}
