// What holds of two groups for any counts: Fisher's p, the difference and the ratio agree with each other.

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "classifiers/statistics/fisher_exact.h"
#include "classifiers/statistics/newcombe_difference.h"
#include "classifiers/statistics/p_chart.h"
#include "classifiers/statistics/risk_ratio.h"
#include "classifiers/statistics/sprt.h"

using namespace quietpass::statistics;

namespace {

Rate any_rate() {
    const std::int64_t n = *rc::gen::inRange(1, 400);
    return {*rc::gen::inRange<std::int64_t>(0, n + 1), n};
}

} // namespace

TEST_CASE("Fisher's p is a probability, the same from both sides") {
    rc::prop("for any counts", [] {
        const Rate first = any_rate();
        const Rate second = any_rate();
        const double p = fisher_exact(first, second);
        RC_ASSERT(p > 0.0 && p <= 1.0);
        RC_ASSERT(std::abs(p - fisher_exact(second, first)) < 1e-9);
        RC_ASSERT(fisher_exact(first, {2 * first.k, 2 * first.n}) > 0.999);
    });
    CHECK(fisher_exact({0, 0}, {3, 4}) == 1.0);
    CHECK(fisher_exact({0, 9}, {0, 4}) == 1.0);
    CHECK_THROWS_AS(fisher_exact({5, 4}, {0, 4}), std::invalid_argument);
}

TEST_CASE("A difference lies in its interval, which turns round with the groups") {
    rc::prop("for any counts", [] {
        const Rate first = any_rate();
        const Rate second = any_rate();
        const auto there = *newcombe_difference(first, second);
        const auto back = *newcombe_difference(second, first);
        RC_ASSERT(there.interval.low <= there.value && there.value <= there.interval.high);
        RC_ASSERT(there.interval.low >= -1.0 - 1e-12 && there.interval.high <= 1.0 + 1e-12);
        RC_ASSERT(std::abs(there.interval.low + back.interval.high) < 1e-12);
    });
    CHECK_FALSE(newcombe_difference({0, 0}, {1, 2}));
}

TEST_CASE("A ratio lies in its interval, and turned round it is one over it") {
    rc::prop("for any counts", [] {
        const Rate group = any_rate();
        const Rate rest = any_rate();
        const auto ratio = risk_ratio(group, rest);
        RC_PRE(ratio.has_value());
        RC_ASSERT(ratio->interval.low <= ratio->value && ratio->value <= ratio->interval.high);
        const auto turned = *risk_ratio(rest, group);
        if (ratio->interval.low > 0.0 && std::isfinite(turned.interval.high)) {
            RC_ASSERT(std::abs(ratio->interval.low * turned.interval.high - 1.0) < 1e-6);
        }
    });
}

TEST_CASE("A ratio to a group without vocal animals is infinite and still bounded from below") {
    const auto ratio = risk_ratio({18, 40}, {0, 80});
    REQUIRE(ratio);
    CHECK(std::isinf(ratio->value));
    CHECK(std::isinf(ratio->interval.high));
    CHECK(ratio->interval.low > 5.0);
    CHECK(ratio->interval.low < 30.0);
    const auto none = risk_ratio({0, 40}, {18, 80});
    CHECK(none->value == 0.0);
    CHECK(none->interval.low == 0.0);
    CHECK(none->interval.high < 1.0);
    CHECK_FALSE(risk_ratio({0, 40}, {0, 80}));
    CHECK_FALSE(risk_ratio({0, 0}, {3, 80}));
    CHECK(risk_ratio({40, 40}, {80, 80})->value == 1.0);
}

TEST_CASE("Charts and sequential tests refuse what can't be") {
    CHECK_THROWS_AS(p_chart_limits(1.1, 50), std::invalid_argument);
    CHECK_THROWS_AS(p_chart_limits(.1, 0), std::invalid_argument);
    CHECK_THROWS_AS(Sprt(.10, .01, .05, .10), std::invalid_argument);
    CHECK(p_chart_limits(.01, 50).low == 0.0);
}
