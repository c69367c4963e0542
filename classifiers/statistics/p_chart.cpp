#include "classifiers/statistics/p_chart.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace quietpass::statistics {

Interval p_chart_limits(double mean_share, std::int64_t n, double deviations) {
    if (!(mean_share >= 0.0 && mean_share <= 1.0) || n < 1) {
        throw std::invalid_argument("p_chart_limits: expected a share of 0 to 1 and n > 0");
    }
    const double reach = deviations * std::sqrt(mean_share * (1.0 - mean_share) / static_cast<double>(n));
    return {std::max(0.0, mean_share - reach), std::min(1.0, mean_share + reach)};
}

} // namespace quietpass::statistics
