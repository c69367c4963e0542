#include "classifiers/evaluation/wilson.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("Nothing seen has no interval") {
    CHECK_FALSE(wilson_interval(0, 0));
}

TEST_CASE("None of n reaches down to exactly 0, all of n up to exactly 1") {
    for (const std::int64_t n : {1, 7, 100, 1000000}) {
        CHECK(wilson_interval(0, n)->low == 0.0);
        CHECK(wilson_interval(n, n)->high == 1.0);
    }
}

TEST_CASE("A higher confidence widens the interval") {
    const auto usual = wilson_interval(5, 100, 0.95);
    const auto sure = wilson_interval(5, 100, 0.99);
    CHECK(sure->low < usual->low);
    CHECK(usual->high < sure->high);
}

TEST_CASE("Impossible counts and confidences are refused") {
    CHECK_THROWS_AS(wilson_interval(-1, 5), std::invalid_argument);
    CHECK_THROWS_AS(wilson_interval(6, 5), std::invalid_argument);
    CHECK_THROWS_AS(wilson_interval(0, -1), std::invalid_argument);
    CHECK_THROWS_AS(wilson_interval(1, 5, 0.0), std::invalid_argument);
    CHECK_THROWS_AS(wilson_interval(1, 5, 1.0), std::invalid_argument);
}

TEST_CASE("Every interval lies in 0 to 1, holds its share and mirrors that of the silent animals") {
    rc::prop("for any count and confidence", [] {
        const std::int64_t n = *rc::gen::inRange<std::int64_t>(1, 1000000);
        const std::int64_t k = *rc::gen::inRange<std::int64_t>(0, n + 1);
        const double confidence = *rc::gen::element(0.5, 0.9, 0.95, 0.999);
        const Interval vocal = *wilson_interval(k, n, confidence);
        const Interval silent = *wilson_interval(n - k, n, confidence);
        const double share = static_cast<double>(k) / static_cast<double>(n);
        RC_ASSERT(0.0 <= vocal.low);
        RC_ASSERT(vocal.high <= 1.0);
        RC_ASSERT(vocal.low <= share);
        RC_ASSERT(share <= vocal.high);
        RC_ASSERT(vocal.low == Approx(1.0 - silent.high).margin(1e-12));
    });
}
