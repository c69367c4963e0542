#include "classifiers/evaluation/confusion.h"

namespace quietpass::evaluation {

std::optional<double> Rate::value() const {
    if (n == 0) return std::nullopt;
    return static_cast<double>(k) / static_cast<double>(n);
}

void Confusion::add(bool is_call, bool called, std::int64_t times) {
    if (is_call)
        (called ? true_positives : false_negatives) += times;
    else
        (called ? false_positives : true_negatives) += times;
}

void Confusion::add(const Confusion& other, std::int64_t times) {
    true_positives += times * other.true_positives;
    false_negatives += times * other.false_negatives;
    false_positives += times * other.false_positives;
    true_negatives += times * other.true_negatives;
}

std::optional<double> Confusion::f1() const {
    return Rate{2 * true_positives, 2 * true_positives + false_positives + false_negatives}.value();
}

std::optional<double> Confusion::kappa() const {
    if (all() == 0) return std::nullopt;
    const auto n = static_cast<double>(all());
    const double is_call = static_cast<double>(positives()) / n;
    const double called = static_cast<double>(true_positives + false_positives) / n;
    const double by_chance = is_call * called + (1.0 - is_call) * (1.0 - called);
    if (by_chance >= 1.0) return std::nullopt;
    return (*agreement().value() - by_chance) / (1.0 - by_chance);
}

std::optional<double> Confusion::pabak() const {
    const std::optional<double> agreed = agreement().value();
    if (!agreed) return std::nullopt;
    return 2.0 * *agreed - 1.0;
}

} // namespace quietpass::evaluation
