#include "classifiers/statistics/kappa_interval.h"

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace quietpass;
using quietpass::evaluation::Confusion;
using quietpass::statistics::kappa_interval;

TEST_CASE("The interval of kappa is as wide as kappas of drawn samples are spread") {
    for (const Confusion& truth :
         {Confusion{20, 5, 10, 15}, Confusion{80, 10, 5, 5}, Confusion{30, 10, 5, 355}}) {
        std::mt19937_64 random(7);
        constexpr int kTimes = 20; // as many animals, so that the large-sample formula applies
        std::discrete_distribution<int> cells(
            {static_cast<double>(truth.true_positives), static_cast<double>(truth.false_negatives),
             static_cast<double>(truth.false_positives), static_cast<double>(truth.true_negatives)});
        double sum = 0.0;
        double squares = 0.0;
        constexpr int kDraws = 1500;
        for (int draw = 0; draw < kDraws; ++draw) {
            std::array<std::int64_t, 4> n{};
            for (std::int64_t i = 0; i < kTimes * truth.all(); ++i)
                ++n[static_cast<std::size_t>(cells(random))];
            const double kappa = *Confusion{n[0], n[1], n[2], n[3]}.kappa();
            sum += kappa;
            squares += kappa * kappa;
        }
        const double mean = sum / kDraws;
        const double spread = std::sqrt(squares / kDraws - mean * mean);
        Confusion large;
        large.add(truth, kTimes);
        const Interval interval = *kappa_interval(large);
        CHECK((interval.high - interval.low) / (2.0 * 1.96) == Approx(spread).epsilon(.07));
        CHECK((interval.high + interval.low) / 2.0 == Approx(*large.kappa()));
    }
}

TEST_CASE("Where there is no kappa there is no interval, and it stays within -1 to 1") {
    CHECK_FALSE(kappa_interval(Confusion{0, 0, 0, 10}));
    const Interval perfect = *kappa_interval(Confusion{5, 0, 0, 95});
    CHECK(perfect.high == 1.0);
    CHECK(kappa_interval(Confusion{1, 1, 0, 3})->high == 1.0);
}
