#include "dsp/spectral_measures.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "dsp/log2_approximation.h"

namespace quietpass::dsp {

namespace {

constexpr float kLeastPower = 1e-20F;

std::size_t count_of(BinRange range) {
    return range.last - range.first + 1;
}

struct Moments {
    double power = 0.0;
    double first = 0.0;  // Σ k·P
    double second = 0.0; // Σ k²·P
};

Moments moments(std::span<const float> power, BinRange range) noexcept {
    assert(range.first <= range.last && range.last < power.size());
    Moments even;
    Moments odd;
    const auto add = [&power](Moments& sums, std::size_t k) {
        const auto p = static_cast<double>(power[k]);
        const auto position = static_cast<double>(k);
        sums.power += p;
        sums.first += position * p;
        sums.second += position * position * p;
    };
    std::size_t k = range.first;
    for (; k < range.last; k += 2) {
        add(even, k);
        add(odd, k + 1);
    }
    if (k == range.last) add(even, k);
    return {even.power + odd.power, even.first + odd.first, even.second + odd.second};
}

struct Logs {
    double sum = 0.0;      // Σ log2 P
    double weighted = 0.0; // Σ P·log2 P
};

Logs logs(std::span<const float> power, BinRange range) noexcept {
    // Eight running sums a block: single precision holds within a block, the blocks add up in double.
    constexpr std::size_t kLanes = 8;
    constexpr std::size_t kBlock = 64;
    Logs total;
    std::size_t k = range.first;
    while (k <= range.last) {
        float sum[kLanes] = {};
        float weighted[kLanes] = {};
        const std::size_t end = std::min(k + kBlock, range.last + 1);
        for (; k + kLanes <= end; k += kLanes) {
            for (std::size_t lane = 0; lane < kLanes; ++lane) {
                const float p = power[k + lane] < kLeastPower ? kLeastPower : power[k + lane];
                const float log2 = log2_approximation(p);
                sum[lane] += log2;
                weighted[lane] += p * log2;
            }
        }
        for (; k < end; ++k) {
            const float p = power[k] < kLeastPower ? kLeastPower : power[k];
            const float log2 = log2_approximation(p);
            sum[0] += log2;
            weighted[0] += p * log2;
        }
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            total.sum += static_cast<double>(sum[lane]);
            total.weighted += static_cast<double>(weighted[lane]);
        }
    }
    return total;
}

double flatness_from(const Logs& logs, double power, std::size_t count) {
    if (power <= 0.0) return 0.0;
    const auto n = static_cast<double>(count);
    return std::min(1.0, std::exp2(logs.sum / n) / (power / n));
}

double entropy_from(const Logs& logs, double power, std::size_t count) {
    if (power <= 0.0 || count < 2) return 0.0;
    // −Σ p·log2 p with p = P / power.
    const double bits = std::log2(power) - logs.weighted / power;
    return std::clamp(bits / std::log2(static_cast<double>(count)), 0.0, 1.0);
}

double bandwidth_from(const Moments& m, double bin_hz) {
    const double mean = m.first / m.power;
    return std::sqrt(std::max(0.0, m.second / m.power - mean * mean)) * bin_hz;
}

double rolloff_from(std::span<const float> power, BinRange range, double bin_hz, double total,
                    double share) noexcept {
    const double wanted = share * total;
    double sum = 0.0;
    for (std::size_t k = range.first; k <= range.last; ++k) {
        sum += static_cast<double>(power[k]);
        if (sum >= wanted) return static_cast<double>(k) * bin_hz;
    }
    return static_cast<double>(range.last) * bin_hz;
}

double refined_peak(std::span<const float> power, BinRange range, std::size_t peak) noexcept {
    const auto position = static_cast<double>(peak);
    if (peak <= range.first || peak >= range.last) return position;
    const auto level = [&](std::size_t k) {
        return std::log(static_cast<double>(std::max(power[k], kLeastPower)));
    };
    const double left = level(peak - 1);
    const double middle = level(peak);
    const double right = level(peak + 1);
    const double curve = left - 2.0 * middle + right;
    return curve < 0.0 ? position + std::clamp(0.5 * (left - right) / curve, -0.5, 0.5) : position;
}

} // namespace

BinRange bins_between(double low_hz, double high_hz, double bin_hz, std::size_t bins) noexcept {
    const auto last_bin = static_cast<double>(bins - 1);
    const double first = std::clamp(std::ceil(low_hz / bin_hz), 0.0, last_bin);
    const double last = std::clamp(std::floor(high_hz / bin_hz), first, last_bin);
    return {static_cast<std::size_t>(first), static_cast<std::size_t>(last)};
}

double band_power(std::span<const float> power, BinRange range) noexcept {
    double sum = 0.0;
    for (std::size_t k = range.first; k <= range.last; ++k) sum += static_cast<double>(power[k]);
    return sum;
}

SpectralShape spectral_shape(std::span<const float> power, BinRange range, double bin_hz,
                             double rolloff_share) noexcept {
    SpectralShape shape;
    const Moments m = moments(power, range);
    if (m.power <= 0.0) return shape;
    const Logs l = logs(power, range);
    const auto first = power.begin() + static_cast<std::ptrdiff_t>(range.first);
    const auto best = std::max_element(first, power.begin() + static_cast<std::ptrdiff_t>(range.last) + 1);
    const auto peak = static_cast<std::size_t>(best - power.begin());

    shape.power = m.power;
    shape.centroid_hz = m.first / m.power * bin_hz;
    shape.bandwidth_hz = bandwidth_from(m, bin_hz);
    shape.rolloff_hz = rolloff_from(power, range, bin_hz, m.power, rolloff_share);
    shape.flatness = flatness_from(l, m.power, count_of(range));
    shape.entropy = entropy_from(l, m.power, count_of(range));
    shape.peak_hz = refined_peak(power, range, peak) * bin_hz;
    shape.peak_share = static_cast<double>(power[peak]) / m.power;
    return shape;
}

double centroid_hz(std::span<const float> power, BinRange range, double bin_hz) noexcept {
    const Moments m = moments(power, range);
    return m.power > 0.0 ? m.first / m.power * bin_hz : 0.0;
}

double bandwidth_hz(std::span<const float> power, BinRange range, double bin_hz) noexcept {
    const Moments m = moments(power, range);
    return m.power > 0.0 ? bandwidth_from(m, bin_hz) : 0.0;
}

double rolloff_hz(std::span<const float> power, BinRange range, double bin_hz, double share) noexcept {
    const double total = band_power(power, range);
    return total > 0.0 ? rolloff_from(power, range, bin_hz, total, share) : 0.0;
}

double flatness(std::span<const float> power, BinRange range) noexcept {
    return flatness_from(logs(power, range), band_power(power, range), count_of(range));
}

double entropy(std::span<const float> power, BinRange range) noexcept {
    return entropy_from(logs(power, range), band_power(power, range), count_of(range));
}

double flux(std::span<const float> power, std::span<const float> previous, BinRange range) noexcept {
    // |a/‖a‖ − b/‖b‖|² = 2 − 2·a·b/(‖a‖‖b‖) with amplitudes a = √P.
    constexpr std::size_t kLanes = 8;
    float both[kLanes] = {};
    float now[kLanes] = {};
    float before[kLanes] = {};
    std::size_t k = range.first;
    for (; k + kLanes <= range.last + 1; k += kLanes) {
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const float p = power[k + lane];
            const float q = previous[k + lane];
            both[lane] += std::sqrt(p) * std::sqrt(q);
            now[lane] += p;
            before[lane] += q;
        }
    }
    for (; k <= range.last; ++k) {
        both[0] += std::sqrt(power[k]) * std::sqrt(previous[k]);
        now[0] += power[k];
        before[0] += previous[k];
    }
    double product = 0.0;
    double power_now = 0.0;
    double power_before = 0.0;
    for (std::size_t lane = 0; lane < kLanes; ++lane) {
        product += static_cast<double>(both[lane]);
        power_now += static_cast<double>(now[lane]);
        power_before += static_cast<double>(before[lane]);
    }
    if (power_now <= 0.0 || power_before <= 0.0) return 0.0;
    return std::sqrt(std::max(0.0, 2.0 - 2.0 * product / std::sqrt(power_now * power_before)));
}

} // namespace quietpass::dsp
