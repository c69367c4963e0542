// Percentiles of small sets of numbers, by selection in place.
//
// values: any order, reordered by the call; share 0 … 1, linear between ranks (as numpy's default). Empty: 0.
#pragma once

#include <algorithm>
#include <span>

namespace quietpass {

inline float percentile(std::span<float> values, double share) noexcept {
    if (values.empty()) return 0.0F;
    const double rank = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(rank);
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(below);
    std::nth_element(values.begin(), at, values.end());
    const float low = *at;
    if (below + 1 >= values.size()) return low;
    const float high = *std::min_element(at + 1, values.end());
    return low + static_cast<float>(rank - static_cast<double>(below)) * (high - low);
}

// Spread of the middle half.
inline float middle_half(std::span<float> values) noexcept {
    const float high = percentile(values, 0.75);
    return high - percentile(values, 0.25);
}

} // namespace quietpass
