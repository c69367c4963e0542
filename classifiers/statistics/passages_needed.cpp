#include "classifiers/statistics/passages_needed.h"

#include <cmath>
#include <stdexcept>

#include "classifiers/statistics/normal_deviate.h"

namespace quietpass::statistics {

namespace {

// More animals than any plant sees in years.
constexpr std::int64_t kMost = 1'000'000'000;

void check(double first_share, double second_share, const Showing& showing) {
    const auto inside = [](double value) { return value > 0.0 && value < 1.0; };
    const auto share = [](double value) { return value >= 0.0 && value <= 1.0; };
    if (!share(first_share) || !share(second_share) || !inside(showing.level) || !inside(showing.power)) {
        throw std::invalid_argument("animals_needed: expected shares of 0 to 1, level and power between");
    }
}

// What the first group must have, with `ratio` times as many animals in the second.
double first_needed(double p1, double p2, double ratio, const Showing& showing) {
    const double apart = std::abs(p1 - p2);
    const double mean = (p1 + ratio * p2) / (1.0 + ratio);
    const double root =
        normal_deviate(showing.level / 2.0) * std::sqrt((ratio + 1.0) * mean * (1.0 - mean)) +
        normal_deviate(1.0 - showing.power) * std::sqrt(ratio * p1 * (1.0 - p1) + p2 * (1.0 - p2));
    const double plain = root * root / (ratio * apart * apart);
    const double corrected = 1.0 + std::sqrt(1.0 + 2.0 * (ratio + 1.0) / (plain * ratio * apart));
    return plain / 4.0 * corrected * corrected;
}

} // namespace

std::optional<std::int64_t> animals_needed_each(double first_share, double second_share,
                                                const Showing& showing) {
    check(first_share, second_share, showing);
    if (first_share == second_share) return std::nullopt;
    return static_cast<std::int64_t>(std::ceil(first_needed(first_share, second_share, 1.0, showing)));
}

std::optional<std::int64_t> animals_needed_after(std::int64_t first_animals, double first_share,
                                                 double second_share, const Showing& showing) {
    check(first_share, second_share, showing);
    if (first_share == second_share || first_animals < 1) return std::nullopt;
    const auto n1 = static_cast<double>(first_animals);
    const auto enough = [&](std::int64_t second) {
        return first_needed(first_share, second_share, static_cast<double>(second) / n1, showing) <= n1;
    };
    if (!enough(kMost)) return std::nullopt;
    std::int64_t too_few = 0;
    std::int64_t will_do = kMost;
    while (will_do - too_few > 1) {
        const std::int64_t middle = too_few + (will_do - too_few) / 2;
        (enough(middle) ? will_do : too_few) = middle;
    }
    return will_do;
}

} // namespace quietpass::statistics
