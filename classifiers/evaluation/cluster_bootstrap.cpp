#include "classifiers/evaluation/cluster_bootstrap.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace quietpass::evaluation {

namespace {

// The standard library's distributions differ between libraries; this doesn't. The bias of 2⁻⁶⁴ · size is
// far below what any draw shows.
std::size_t below(std::mt19937_64& random, std::size_t size) {
    return static_cast<std::size_t>((static_cast<unsigned __int128>(random()) * size) >> 64);
}

void draw(std::mt19937_64& random, const std::vector<Confusion>& from, Confusion& sum) {
    for (std::size_t i = 0; i < from.size(); ++i) sum.add(from[below(random, from.size())]);
}

// Linear interpolation between order statistics (type 7 of Hyndman and Fan, 1996). values: sorted.
double quantile(const std::vector<double>& values, double share) {
    const double place = share * static_cast<double>(values.size() - 1);
    const auto under = static_cast<std::size_t>(place);
    const std::size_t over = std::min(under + 1, values.size() - 1);
    return values[under] + (place - static_cast<double>(under)) * (values[over] - values[under]);
}

std::optional<Interval> interval_of(std::vector<double>& values, double confidence) {
    if (values.empty()) return std::nullopt;
    std::sort(values.begin(), values.end());
    const double tail = (1.0 - confidence) / 2.0;
    return Interval{quantile(values, tail), quantile(values, 1.0 - tail)};
}

} // namespace

ClusterIntervals cluster_bootstrap(std::span<const Confusion> clusters, const BootstrapSettings& settings) {
    std::vector<Confusion> with_calls;
    std::vector<Confusion> without;
    for (const Confusion& cluster : clusters) {
        if (cluster.all() > 0) (cluster.positives() > 0 ? with_calls : without).push_back(cluster);
    }
    if (with_calls.size() < 2) return {};

    std::mt19937_64 random(settings.seed);
    std::vector<double> f1;
    std::vector<double> kappa;
    for (int i = 0; i < settings.draws; ++i) {
        Confusion sum;
        draw(random, with_calls, sum);
        draw(random, without, sum);
        if (const auto value = sum.f1()) f1.push_back(*value);
        if (const auto value = sum.kappa()) kappa.push_back(*value);
    }
    return {interval_of(f1, settings.confidence), interval_of(kappa, settings.confidence)};
}

} // namespace quietpass::evaluation
