#include "classifiers/evaluation/time_matching.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace quietpass::evaluation {

std::vector<std::optional<std::size_t>> match_times(std::span<const double> wanted,
                                                    std::span<const double> found, double most_apart_s) {
    std::vector<std::pair<double, std::size_t>> order; // of found, by time
    for (std::size_t i = 0; i < found.size(); ++i) order.emplace_back(found[i], i);
    std::sort(order.begin(), order.end());

    std::vector<std::tuple<double, std::size_t, std::size_t>> pairs; // apart, wanted, found
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        auto at = std::lower_bound(order.begin(), order.end(),
                                   std::pair<double, std::size_t>(wanted[i] - most_apart_s, 0));
        for (; at != order.end() && at->first <= wanted[i] + most_apart_s; ++at)
            pairs.emplace_back(std::abs(at->first - wanted[i]), i, at->second);
    }
    std::sort(pairs.begin(), pairs.end());

    std::vector<std::optional<std::size_t>> partner(wanted.size());
    std::vector<bool> taken(found.size(), false);
    for (const auto& [apart_s, i, j] : pairs) {
        if (partner[i] || taken[j]) continue;
        partner[i] = j;
        taken[j] = true;
    }
    return partner;
}

double overlap_s(const TimeSpan& a, const TimeSpan& b) {
    return std::max(0.0, std::min(a.end_s, b.end_s) - std::max(a.start_s, b.start_s));
}

} // namespace quietpass::evaluation
