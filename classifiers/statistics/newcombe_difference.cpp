#include "classifiers/statistics/newcombe_difference.h"

#include <cmath>

namespace quietpass::statistics {

std::optional<Difference> newcombe_difference(const Rate& first, const Rate& second, double confidence) {
    const auto a = wilson_interval(first.k, first.n, confidence);
    const auto b = wilson_interval(second.k, second.n, confidence);
    if (!a || !b) return std::nullopt;
    const double p1 = *first.value();
    const double p2 = *second.value();
    const double difference = p1 - p2;
    return Difference{difference,
                      {difference - std::hypot(p1 - a->low, b->high - p2),
                       difference + std::hypot(a->high - p1, p2 - b->low)}};
}

} // namespace quietpass::statistics
