#include "classifiers/statistics/risk_ratio.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>
#include <limits>
#include <stdexcept>

#include "classifiers/statistics/normal_deviate.h"

namespace quietpass::statistics {

namespace {

struct Counts {
    double k1, n1, k2, n2;
};

// How far the counts lie from the ratio `theta`, in standard deviations; falls as theta rises.
double deviations_from(const Counts& c, double theta) {
    const double a = (c.n1 + c.n2) * theta;
    const double b = c.n1 * theta + c.k1 + c.n2 + c.k2 * theta;
    const double root = std::sqrt(std::max(0.0, b * b - 4.0 * a * (c.k1 + c.k2)));
    // The smaller root, written so that nothing cancels.
    const double p2 = std::min(1.0, 2.0 * (c.k1 + c.k2) / (b + root));
    const double p1 = std::min(1.0, theta * p2);
    const double variance = p1 * (1.0 - p1) / c.n1 + theta * theta * p2 * (1.0 - p2) / c.n2;
    const double off = c.k1 / c.n1 - theta * c.k2 / c.n2;
    if (variance <= 0.0) return off == 0.0 ? 0.0 : std::copysign(std::numeric_limits<double>::max(), off);
    return off / std::sqrt(variance);
}

// The log of the ratio that the counts lie `z` deviations from. Ends of the search: no share of a real
// station is a billionth of another.
double ratio_at(const Counts& counts, double z) {
    constexpr double kFarthest = 25.0;
    const auto above = [&](double log_theta) { return deviations_from(counts, std::exp(log_theta)) - z; };
    const double low = above(-kFarthest);
    const double high = above(kFarthest);
    if (low <= 0.0) return 0.0;
    if (high >= 0.0) return std::numeric_limits<double>::infinity();
    std::uintmax_t steps = 200;
    const auto between = boost::math::tools::toms748_solve(
        above, -kFarthest, kFarthest, low, high, boost::math::tools::eps_tolerance<double>(40), steps);
    return std::exp((between.first + between.second) / 2.0);
}

} // namespace

std::optional<RiskRatio> risk_ratio(const Rate& group, const Rate& rest, double confidence) {
    for (const Rate& rate : {group, rest}) {
        if (rate.k < 0 || rate.n < rate.k) throw std::invalid_argument("risk_ratio: expected 0 <= k <= n");
    }
    const double z = two_sided_deviate(confidence);
    if (group.n == 0 || rest.n == 0 || group.k + rest.k == 0) return std::nullopt;
    const Counts counts{static_cast<double>(group.k), static_cast<double>(group.n),
                        static_cast<double>(rest.k), static_cast<double>(rest.n)};
    constexpr double kInfinite = std::numeric_limits<double>::infinity();
    return RiskRatio{
        rest.k == 0 ? kInfinite : *group.value() / *rest.value(),
        {group.k == 0 ? 0.0 : ratio_at(counts, z), rest.k == 0 ? kInfinite : ratio_at(counts, -z)}};
}

} // namespace quietpass::statistics
