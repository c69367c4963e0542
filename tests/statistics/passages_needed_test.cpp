#include "classifiers/statistics/passages_needed.h"

#include <boost/math/distributions/binomial.hpp>
#include <catch2/catch.hpp>

#include "classifiers/statistics/fisher_exact.h"

using namespace quietpass::statistics;

namespace {

// The chance that Fisher's test finds the difference, over all outcomes.
double exact_power(std::int64_t n1, double p1, std::int64_t n2, double p2, double level) {
    const boost::math::binomial first(static_cast<double>(n1), p1);
    const boost::math::binomial second(static_cast<double>(n2), p2);
    double power = 0.0;
    for (std::int64_t k1 = 0; k1 <= n1; ++k1) {
        const double likely = boost::math::pdf(first, static_cast<double>(k1));
        if (likely < 1e-6) continue;
        for (std::int64_t k2 = 0; k2 <= n2; ++k2) {
            const double both = likely * boost::math::pdf(second, static_cast<double>(k2));
            if (both > 1e-8 && fisher_exact({k1, n1}, {k2, n2}) < level) power += both;
        }
    }
    return power;
}

} // namespace

TEST_CASE("So many animals on each side find the difference as often as asked") {
    struct Row {
        double before, after;
    };
    for (const Row row : {Row{.04, .01}, Row{.08, .02}, Row{.20, .08}}) {
        const std::int64_t n = *animals_needed_each(row.before, row.after);
        INFO(row.before << " to " << row.after << ": " << n);
        const double power = exact_power(n, row.before, n, row.after, .05);
        CHECK(power > .78);
        CHECK(power < .86);
    }
}

TEST_CASE("So many animals after find it with what there was before, or no number does") {
    const auto after = animals_needed_after(300, .08, .02);
    REQUIRE(after);
    // With groups as uneven as these the approximation asks for some more than are needed, never for less.
    CHECK(exact_power(300, .08, *after, .02, .05) > .78);
    CHECK(exact_power(300, .08, *after, .02, .05) < .88);
    CHECK(exact_power(300, .08, *after * 2 / 3, .02, .05) < .78);
    // A hundred before at 4 % can't tell it from 1 %, however many come after.
    CHECK_FALSE(animals_needed_after(100, .04, .01));
    CHECK_FALSE(animals_needed_each(.04, .04));
    CHECK_FALSE(animals_needed_after(0, .08, .02));
    CHECK_THROWS_AS(animals_needed_each(.04, 1.2), std::invalid_argument);
}
