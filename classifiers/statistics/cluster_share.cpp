#include "classifiers/statistics/cluster_share.h"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <stdexcept>

#include "classifiers/statistics/normal_deviate.h"

namespace quietpass::statistics {

namespace {

// Wilson's interval of counts that need not be whole.
Interval wilson_of(double share, double animals, double z) {
    const double z2 = z * z;
    const double middle = share + z2 / (2.0 * animals);
    const double half = z * std::sqrt((share * (1.0 - share) + z2 / (4.0 * animals)) / animals);
    const double scale = 1.0 + z2 / animals;
    return {share == 0.0 ? 0.0 : std::max(0.0, (middle - half) / scale),
            share == 1.0 ? 1.0 : std::min(1.0, (middle + half) / scale)};
}

double t_deviate(double freedom, double confidence) {
    return boost::math::quantile(
        boost::math::complement(boost::math::students_t(freedom), (1.0 - confidence) / 2.0));
}

} // namespace

std::optional<ClusterShare> cluster_share(std::span<const Rate> lots, double confidence) {
    ClusterShare out;
    for (const Rate& lot : lots) {
        if (lot.k < 0 || lot.n < lot.k) throw std::invalid_argument("cluster_share: expected 0 <= k <= n");
        if (lot.n == 0) continue;
        ++out.lots;
        out.all.k += lot.k;
        out.all.n += lot.n;
    }
    if (out.lots < 2) return std::nullopt;

    const double share = *out.all.value();
    const auto animals = static_cast<double>(out.all.n);
    const auto count = static_cast<double>(out.lots);
    double squares = 0.0;
    for (const Rate& lot : lots) {
        const double off = static_cast<double>(lot.k) - share * static_cast<double>(lot.n);
        squares += off * off;
    }
    const double between = count / (count - 1.0) * squares / (animals * animals);
    const double independent = share * (1.0 - share) / animals;
    if (independent > 0.0) out.design_effect = std::max(1.0, between / independent);

    const double t_ratio = t_deviate(animals - 1.0, confidence) / t_deviate(count - 1.0, confidence);
    out.effective_animals = animals / out.design_effect * t_ratio * t_ratio;
    out.interval = wilson_of(share, out.effective_animals, two_sided_deviate(confidence));
    return out;
}

} // namespace quietpass::statistics
