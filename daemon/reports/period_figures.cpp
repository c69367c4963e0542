#include "daemon/reports/period_figures.h"

#include <cmath>

#include "classifiers/evaluation/wilson.h"

namespace quietpass {

double rounded(double value, int decimals) {
    if (!std::isfinite(value)) return value;
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale + 0.0; // + 0.0: minus zero becomes zero
}

std::optional<double> rounded(const std::optional<double>& value, int decimals) {
    if (!value) return std::nullopt;
    return rounded(*value, decimals);
}

CountedShare counted_share(std::int64_t k, std::int64_t n) {
    CountedShare share{k, n, {}, {}, {}};
    if (const auto interval = wilson_interval(k, n)) {
        share.percent = rounded(100.0 * static_cast<double>(k) / static_cast<double>(n), kPercentDecimals);
        share.percent_low = rounded(100.0 * interval->low, kPercentDecimals);
        share.percent_high = rounded(100.0 * interval->high, kPercentDecimals);
    }
    return share;
}

std::string_view name_of(CycleTime time) {
    constexpr std::string_view kNames[] = {"held_for_s", "body_held_for_s", "to_stun_s", "restrained_for_s"};
    return kNames[static_cast<std::size_t>(time)];
}

} // namespace quietpass
