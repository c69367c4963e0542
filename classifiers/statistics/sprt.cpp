#include "classifiers/statistics/sprt.h"

#include <cmath>
#include <stdexcept>

namespace quietpass::statistics {

Sprt::Sprt(double low_share, double high_share, double alpha, double beta) {
    const bool good = low_share > 0.0 && low_share < high_share && high_share < 1.0 && alpha > 0.0 &&
                      beta > 0.0 && alpha + beta < 1.0;
    if (!good) throw std::invalid_argument("Sprt: expected 0 < low < high < 1 and alpha + beta < 1");
    const double ratio = std::log(high_share * (1.0 - low_share) / (low_share * (1.0 - high_share)));
    accept_below_ = std::log((1.0 - alpha) / beta) / ratio;
    reject_above_ = std::log((1.0 - beta) / alpha) / ratio;
    slope_ = std::log((1.0 - low_share) / (1.0 - high_share)) / ratio;
}

SequentialAnswer Sprt::after(std::int64_t vocal, std::int64_t animals) const {
    const double middle = slope_ * static_cast<double>(animals);
    if (static_cast<double>(vocal) <= middle - accept_below_) return SequentialAnswer::kLow;
    if (static_cast<double>(vocal) >= middle + reject_above_) return SequentialAnswer::kHigh;
    return SequentialAnswer::kGoOn;
}

std::int64_t Sprt::earliest_accept() const {
    return static_cast<std::int64_t>(std::ceil(accept_below_ / slope_));
}

} // namespace quietpass::statistics
