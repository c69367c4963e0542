#include "classifiers/evaluation/wilson.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <stdexcept>

namespace quietpass {

std::optional<Interval> wilson_interval(std::int64_t k, std::int64_t n, double confidence) {
    if (k < 0 || n < k) throw std::invalid_argument("wilson_interval: expected 0 <= k <= n");
    if (!(confidence > 0.0 && confidence < 1.0)) {
        throw std::invalid_argument("wilson_interval: expected a confidence between 0 and 1");
    }
    if (n == 0) return std::nullopt;

    const double z =
        boost::math::quantile(boost::math::complement(boost::math::normal(), (1.0 - confidence) / 2.0));
    const double count = static_cast<double>(n);
    const double share = static_cast<double>(k) / count;
    const double z2 = z * z;
    const double middle = share + z2 / (2.0 * count);
    const double half = z * std::sqrt((share * (1.0 - share) + z2 / (4.0 * count)) / count);
    const double scale = 1.0 + z2 / count;

    // The two ends are exact at k = 0 and k = n; rounding must not leave 1e-18 there.
    return Interval{k == 0 ? 0.0 : std::max(0.0, (middle - half) / scale),
                    k == n ? 1.0 : std::min(1.0, (middle + half) / scale)};
}

} // namespace quietpass
