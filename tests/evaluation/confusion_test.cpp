#include "classifiers/evaluation/confusion.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass::evaluation;

TEST_CASE("Kappa and PABAK of published and computed tables") {
    // 20, 5, 10, 15: a worked example common in textbooks. The last two are the pair that shows the paradox
    // of A. R. Feinstein, D. V. Cicchetti, J. Clin. Epidemiol. 43 (1990) 543: agreement .85 in both. PABAK
    // and the second table: computed from the definition.
    struct Row {
        Confusion counts;
        double kappa, pabak;
    };
    const std::vector<Row> rows = {{{20, 5, 10, 15}, .40, .40},
                                   {{3, 1, 2, 94}, .651, .94},
                                   {{40, 9, 6, 45}, .70, .70},
                                   {{80, 10, 5, 5}, .32, .70}};
    for (const Row& row : rows) {
        CHECK(*row.counts.kappa() == Approx(row.kappa).margin(.005));
        CHECK(*row.counts.pabak() == Approx(row.pabak).margin(.0001));
    }
    CHECK(*Confusion{3, 1, 2, 94}.kappa() == Approx(.651).margin(.0005));
}

TEST_CASE("Rates and F1 are read from the right cells") {
    const Confusion counts{88, 62, 3, 447};
    CHECK(*counts.sensitivity().value() == Approx(88.0 / 150));
    CHECK(*counts.specificity().value() == Approx(447.0 / 450));
    CHECK(*counts.precision().value() == Approx(88.0 / 91));
    CHECK(*counts.f1() == Approx(2 * 88.0 / (2 * 88 + 62 + 3)));
}

TEST_CASE("What has no count has no figure, never a 0") {
    const Confusion none;
    CHECK_FALSE(none.sensitivity().value());
    CHECK_FALSE(none.f1());
    CHECK_FALSE(none.kappa());
    CHECK_FALSE(none.pabak());
    const Confusion all_quiet{0, 0, 0, 10};
    CHECK_FALSE(all_quiet.kappa()); // chance alone agrees on everything
    CHECK(*all_quiet.pabak() == 1.0);
}

TEST_CASE("Judged things fall into the cell that says what they are") {
    Confusion counts;
    counts.add(true, true);
    counts.add(true, false, 2);
    counts.add(false, true, 3);
    counts.add(false, false, 4);
    CHECK(counts.true_positives == 1);
    CHECK(counts.false_negatives == 2);
    CHECK(counts.false_positives == 3);
    CHECK(counts.true_negatives == 4);
}

TEST_CASE("Kappa is never above the agreement and F1 never outside 0 to 1") {
    rc::prop("for any counts", [] {
        const auto cell = [] { return static_cast<std::int64_t>(*rc::gen::inRange(0, 500)); };
        const Confusion counts{cell(), cell(), cell(), cell()};
        if (const auto kappa = counts.kappa()) RC_ASSERT(*kappa <= *counts.agreement().value() + 1e-12);
        if (const auto f1 = counts.f1()) RC_ASSERT(*f1 >= 0.0 && *f1 <= 1.0);
    });
}
