#include "classifiers/evaluation/f1_interval.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <random>

using namespace quietpass;
using namespace quietpass::evaluation;

TEST_CASE("F1's interval is that of F*, transformed") {
    // 81 of 263: Wilson .2553 to .3662 (R. G. Newcombe, Stat. Med. 17 (1998) 857); 2x / (1 + x) of both ends.
    const auto interval = f1_interval({81, 100, 82, 5000});
    CHECK(interval->low == Approx(2 * .2553 / 1.2553).margin(.0001));
    CHECK(interval->high == Approx(2 * .3662 / 1.3662).margin(.0001));
}

TEST_CASE("F1's interval lies around F1, and at all right and all wrong still has a width") {
    rc::prop("for any counts", [] {
        const auto cell = [] { return static_cast<std::int64_t>(*rc::gen::inRange(0, 300)); };
        const Confusion counts{cell(), cell(), cell(), cell()};
        const auto f1 = counts.f1();
        const auto interval = f1_interval(counts);
        RC_ASSERT(f1.has_value() == interval.has_value());
        if (f1) RC_ASSERT(interval->low <= *f1 && *f1 <= interval->high && interval->low < interval->high);
    });
    CHECK(f1_interval({29, 0, 0, 0})->low == Approx(2 * .8830 / 1.8830).margin(.0001));
    CHECK(f1_interval({29, 0, 0, 0})->high == 1.0);
}

TEST_CASE("F1's interval covers the true F1 in about 95 of 100 made tests") {
    std::mt19937_64 random(7);
    constexpr double kSensitivity = 0.9;
    constexpr double kFalse = 0.02;
    constexpr int kVocal = 60;
    constexpr int kQuiet = 240;
    const double truth = 2 * kVocal * kSensitivity / (kVocal * kSensitivity + kQuiet * kFalse + kVocal);
    std::binomial_distribution<int> hits(kVocal, kSensitivity);
    std::binomial_distribution<int> wrong(kQuiet, kFalse);
    int covered = 0;
    for (int i = 0; i < 4000; ++i) {
        const int hit = hits(random);
        const int false_calls = wrong(random);
        const auto interval = f1_interval({hit, kVocal - hit, false_calls, kQuiet - false_calls});
        if (interval->low <= truth && truth <= interval->high) ++covered;
    }
    CHECK(covered > 0.93 * 4000);
    CHECK(covered < 0.985 * 4000);
}
