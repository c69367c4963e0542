#include "classifiers/statistics/kappa_interval.h"

#include <algorithm>
#include <cmath>

#include "classifiers/statistics/normal_deviate.h"

namespace quietpass::statistics {

std::optional<Interval> kappa_interval(const evaluation::Confusion& counts, double confidence) {
    const std::optional<double> kappa = counts.kappa();
    if (!kappa) return std::nullopt;
    const auto n = static_cast<double>(counts.all());
    const double both = static_cast<double>(counts.true_positives) / n;
    const double only_first = static_cast<double>(counts.false_negatives) / n;
    const double only_second = static_cast<double>(counts.false_positives) / n;
    const double neither = static_cast<double>(counts.true_negatives) / n;
    const double first = both + only_first;   // the person's vocal share
    const double second = both + only_second; // the machine's
    const double agreed = both + neither;
    const double by_chance = first * second + (1.0 - first) * (1.0 - second);
    const double rest = 1.0 - by_chance;

    const auto squared = [](double value) { return value * value; };
    const double on_diagonal = both * squared(rest - (first + second) * (1.0 - agreed)) +
                               neither * squared(rest - (2.0 - first - second) * (1.0 - agreed));
    // Cell (i, j) takes the second one's share of i and the first one's share of j.
    const double off_diagonal = squared(1.0 - agreed) * (only_first * squared(second + 1.0 - first) +
                                                         only_second * squared(1.0 - second + first));
    const double middle = agreed * by_chance - 2.0 * by_chance + agreed;
    const double variance = (on_diagonal + off_diagonal - squared(middle)) / (n * squared(squared(rest)));
    const double reach = two_sided_deviate(confidence) * std::sqrt(std::max(0.0, variance));
    return Interval{std::max(-1.0, *kappa - reach), std::min(1.0, *kappa + reach)};
}

} // namespace quietpass::statistics
