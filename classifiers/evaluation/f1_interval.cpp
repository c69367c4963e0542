#include "classifiers/evaluation/f1_interval.h"

namespace quietpass::evaluation {

std::optional<Interval> f1_interval(const Confusion& counts, double confidence) {
    const std::int64_t judged = counts.true_positives + counts.false_positives + counts.false_negatives;
    const auto f_star = wilson_interval(counts.true_positives, judged, confidence);
    if (!f_star) return std::nullopt;
    const auto f1_of = [](double share) { return 2.0 * share / (1.0 + share); };
    return Interval{f1_of(f_star->low), f1_of(f_star->high)};
}

} // namespace quietpass::evaluation
