#include "classifiers/evaluation/true_share.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <random>

using namespace quietpass;
using namespace quietpass::evaluation;

TEST_CASE("The share is corrected as Rogan and Gladen say") {
    // Computed from the definition: (0.20 + 0.95 − 1) / (0.80 + 0.95 − 1) = 0.2.
    const auto share = true_share({20, 100}, {{80, 100}, {95, 100}});
    CHECK(share->share == Approx(.2));
    CHECK(share->interval.low < .2);
    CHECK(share->interval.high > .2);
}

TEST_CASE("Perfect ears change nothing") {
    CHECK(true_share({30, 1000}, {{1000000, 1000000}, {1000000, 1000000}})->share == Approx(.03));
}

TEST_CASE("Fewer calls than false calls alone would give mean a share of 0, with an interval up from it") {
    const auto share = true_share({15, 1000}, {{90, 100}, {980, 1000}});
    CHECK(share->share == 0.0);
    CHECK(share->interval.low == 0.0);
    CHECK(share->interval.high > 0.0);
}

TEST_CASE("Ears that tell nothing, and missing counts, give no share") {
    CHECK_FALSE(true_share({5, 100}, {{20, 100}, {80, 100}}));
    CHECK_FALSE(true_share({0, 0}, {{20, 100}, {99, 100}}));
    CHECK_FALSE(true_share({5, 100}, {{0, 0}, {99, 100}}));
    CHECK_FALSE(true_share({5, 100}, {{9, 10}, {0, 0}}));
}

TEST_CASE("The corrected share stays a share") {
    rc::prop("for any counts", [] {
        const auto rate = [] {
            const auto n = static_cast<std::int64_t>(*rc::gen::inRange(1, 2000));
            return Rate{*rc::gen::inRange<std::int64_t>(0, n + 1), n};
        };
        const auto share = true_share(rate(), {rate(), rate()});
        if (share) {
            RC_ASSERT(share->share >= 0.0 && share->share <= 1.0);
            RC_ASSERT(share->interval.low >= 0.0 && share->interval.low <= share->interval.high);
            RC_ASSERT(share->interval.high <= 1.0);
        }
    });
}

TEST_CASE("The corrected interval covers the true share in about 95 of 100 made plants") {
    struct Plant {
        double share, sensitivity, specificity;
        int animals, vocal_tested, quiet_tested;
    };
    for (const Plant& plant : {Plant{.03, .9, .995, 1000, 150, 450}, Plant{.10, .7, .98, 500, 150, 450},
                               Plant{.25, .85, .95, 300, 60, 200}}) {
        std::mt19937_64 random(11);
        const double called_share =
            plant.share * plant.sensitivity + (1 - plant.share) * (1 - plant.specificity);
        std::binomial_distribution<std::int64_t> called(plant.animals, called_share);
        std::binomial_distribution<std::int64_t> heard(plant.vocal_tested, plant.sensitivity);
        std::binomial_distribution<std::int64_t> left_alone(plant.quiet_tested, plant.specificity);
        int covered = 0;
        for (int i = 0; i < 4000; ++i) {
            const auto share =
                true_share({called(random), plant.animals},
                           {{heard(random), plant.vocal_tested}, {left_alone(random), plant.quiet_tested}});
            REQUIRE(share);
            if (share->interval.low <= plant.share && plant.share <= share->interval.high) ++covered;
        }
        INFO("true share " << plant.share);
        CHECK(covered > 0.935 * 4000);
        CHECK(covered < 0.985 * 4000);
    }
}
