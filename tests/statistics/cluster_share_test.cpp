#include "classifiers/statistics/cluster_share.h"

#include <catch2/catch.hpp>
#include <random>
#include <vector>

using namespace quietpass;
using namespace quietpass::statistics;

TEST_CASE("Lots that are all alike give the plain interval, widened only for being few") {
    const std::vector<Rate> alike(40, Rate{5, 50});
    const auto share = cluster_share(alike);
    REQUIRE(share);
    CHECK(share->lots == 40);
    CHECK(share->all.k == 200);
    CHECK(share->design_effect == 1.0);
    const Interval plain = *wilson_interval(200, 2000);
    CHECK(share->interval.low == Approx(plain.low).margin(.001));
    CHECK(share->interval.high == Approx(plain.high).margin(.001));
}

TEST_CASE("The design effect by hand: three lots of a hundred with 2, 5 and 20 vocal") {
    // Share .09; off by -7, -4, 11: squares 186; variance 3/2 * 186 / 300^2 = .0031; independent .000273.
    const std::vector<Rate> lots = {{2, 100}, {5, 100}, {20, 100}};
    const auto share = cluster_share(lots);
    REQUIRE(share);
    CHECK(share->design_effect == Approx(.0031 / .000273).epsilon(.0001));
    // t of 299 and of 2 degrees of freedom at 97.5 %: 1.9679 and 4.3027 (any table).
    CHECK(share->effective_animals ==
          Approx(300.0 / 11.3553 * 1.9679 * 1.9679 / (4.3027 * 4.3027)).epsilon(.001));
    CHECK(share->interval.low < .02);
    CHECK(share->interval.high > .40);
}

TEST_CASE("One lot says nothing of how lots differ, and empty lots are none") {
    const std::vector<Rate> one = {{3, 50}, {0, 0}};
    CHECK_FALSE(cluster_share(one));
    const std::vector<Rate> silent = {{0, 50}, {0, 60}};
    CHECK(cluster_share(silent)->interval.low == 0.0);
    CHECK(cluster_share(silent)->interval.high > wilson_interval(0, 110)->high);
}

TEST_CASE(
    "Over drawn lots that differ the interval holds the truth as often as it says, the plain one does not") {
    // Shares of lots: beta of mean .05 and correlation .05 within a lot; 12 lots of 40 to 160 animals.
    std::mt19937_64 random(4);
    constexpr double kMean = .05;
    constexpr double kSum = 1.0 / .05 - 1.0;
    std::gamma_distribution<double> vocal(kMean * kSum, 1.0);
    std::gamma_distribution<double> silent((1.0 - kMean) * kSum, 1.0);
    std::uniform_int_distribution<std::int64_t> size(40, 160);
    int held = 0;
    int held_plain = 0;
    constexpr int kDraws = 2000;
    for (int draw = 0; draw < kDraws; ++draw) {
        std::vector<Rate> lots;
        for (int lot = 0; lot < 12; ++lot) {
            const double a = vocal(random);
            const double p = a / (a + silent(random));
            const std::int64_t n = size(random);
            lots.push_back({std::binomial_distribution<std::int64_t>(n, p)(random), n});
        }
        const auto share = *cluster_share(lots);
        const Interval plain = *wilson_interval(share.all.k, share.all.n);
        if (share.interval.low <= kMean && kMean <= share.interval.high) ++held;
        if (plain.low <= kMean && kMean <= plain.high) ++held_plain;
    }
    CHECK(held > .92 * kDraws);
    CHECK(held < .985 * kDraws);
    CHECK(held_plain < .75 * kDraws);
}
