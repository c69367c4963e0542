// Statistics against published and computed values. "computed" means: from the published definition, by other
// programs than these.

#include <catch2/catch.hpp>
#include <cmath>

#include "classifiers/statistics/fisher_exact.h"
#include "classifiers/statistics/newcombe_difference.h"
#include "classifiers/statistics/p_chart.h"
#include "classifiers/statistics/risk_ratio.h"
#include "classifiers/statistics/sample_plan.h"
#include "classifiers/statistics/sprt.h"

using namespace quietpass::statistics;
using quietpass::Interval;

TEST_CASE("Fisher's exact test of published and computed tables") {
    // 3,1,1,3 one-sided: the tea tasting of R. A. Fisher, The Design of Experiments (1935), chapter II. The
    // rest: computed. A table a,b,c,d is a vocal and b silent of one group, c and d of the other.
    CHECK(fisher_exact_more({3, 4}, {1, 4}) == Approx(.2429).margin(.00005));
    CHECK(fisher_exact({3, 4}, {1, 4}) == Approx(.4857).margin(.00005));
    CHECK(fisher_exact({4, 4}, {0, 4}) == Approx(.02857).margin(.000005));
    CHECK(fisher_exact({1, 10}, {11, 14}) == Approx(.002759).margin(.0000005));
    CHECK(fisher_exact({8, 10}, {1, 6}) == Approx(.03497).margin(.000005));
}

TEST_CASE("From 4 to 1 of a hundred is not shown by Fisher's test, from 8 to 1 is") {
    // Computed.
    CHECK(fisher_exact({8, 100}, {1, 100}) == Approx(.0349).margin(.00005));
    CHECK(fisher_exact({4, 100}, {1, 100}) == Approx(.369).margin(.0005));
    CHECK(fisher_exact({32, 100}, {12, 100}) == Approx(.00103).margin(.000005));
}

TEST_CASE("Newcombe's intervals of differences, method 10") {
    // Counts: R. G. Newcombe, Stat. Med. 17 (1998) 873, table II; values computed, which agree with it.
    struct Row {
        Rate first, second;
        double low, high;
    };
    for (const Row& row : {Row{{56, 70}, {48, 80}, .0524, .3339}, Row{{9, 10}, {3, 10}, .1705, .8090},
                           Row{{5, 56}, {0, 29}, -.0381, .1926}}) {
        INFO(row.first.k << "/" << row.first.n);
        const auto difference = newcombe_difference(row.first, row.second);
        REQUIRE(difference);
        CHECK(difference->interval.low == Approx(row.low).margin(.00005));
        CHECK(difference->interval.high == Approx(row.high).margin(.00005));
    }
}

TEST_CASE("The score interval of a ratio in Koopman's example") {
    // 36 of 40 against 16 of 80: P. A. R. Koopman, Biometrics 40 (1984) 513, 2.94 to 7.15; from memory.
    const auto ratio = risk_ratio({36, 40}, {16, 80});
    REQUIRE(ratio);
    CHECK(ratio->value == Approx(4.5));
    CHECK(ratio->interval.low == Approx(2.94).margin(.005));
    CHECK(ratio->interval.high == Approx(7.15).margin(.005));
}

TEST_CASE("Limits of the p-chart of the NIST/SEMATECH e-Handbook") {
    // 6.3.3.2: 30 samples of 50, mean .2313.
    const Interval limits = p_chart_limits(.2313, 50);
    CHECK(limits.low == Approx(.0524).margin(.0001));
    CHECK(limits.high == Approx(.4102).margin(.0001));
}

TEST_CASE("Lines of a sequential test of 1 % against 10 %") {
    // A. Wald, Sequential Analysis (1947); inputs from memory (a textbook's), values computed.
    const Sprt test(.01, .10, .05, .10);
    CHECK(test.accept_below() == Approx(.9389).margin(.00005));
    CHECK(test.reject_above() == Approx(1.2054).margin(.00005));
    CHECK(test.slope() == Approx(.0397).margin(.00005));
    CHECK(test.earliest_accept() == 24);
    CHECK(test.after(0, 23) == SequentialAnswer::kGoOn);
    CHECK(test.after(0, 24) == SequentialAnswer::kLow);
    CHECK(test.after(2, 19) == SequentialAnswer::kHigh);
    CHECK(test.after(2, 21) == SequentialAnswer::kGoOn);
}

TEST_CASE("How often a station passes an audit of at most 3 vocal of 100") {
    // Computed from the binomial distribution.
    const double shares[] = {.01, .02, .03, .05, .08, .10};
    const double chances[] = {.982, .859, .647, .258, .037, .008};
    for (std::size_t i = 0; i < std::size(shares); ++i) {
        CHECK(chance_to_pass(shares[i], 3, 100) == Approx(chances[i]).margin(.0005));
    }
}
