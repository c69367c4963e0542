#include "dsp/spectral_measures.h"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "dsp/lanes.h"
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

// Single precision holds within a block of bins; the blocks add up in double.
constexpr std::size_t kBlock = 64;

Moments moments(std::span<const float> power, BinRange range) noexcept {
    assert(range.first <= range.last && range.last < power.size());
    Moments total;
    for (std::size_t start = range.first; start <= range.last; start += kBlock) {
        const std::size_t count = std::min(kBlock, range.last + 1 - start);
        const float* bin = &power[start];
        Lane4 sum{};
        Lane4 first{};
        Lane4 second{};
        Lane4 position{0.0F, 1.0F, 2.0F, 3.0F};
        std::size_t k = 0;
        for (; k + 4 <= count; k += 4) {
            const Lane4 p = load4(bin + k);
            const Lane4 moment = position * p;
            sum += p;
            first += moment;
            second += position * moment;
            position += 4.0F;
        }
        for (std::size_t lane = 0; k < count; ++k, ++lane) {
            const auto at = static_cast<float>(k);
            sum[lane] += bin[k];
            first[lane] += at * bin[k];
            second[lane] += at * at * bin[k];
        }
        const auto s0 = static_cast<double>(sum_of(sum));
        const auto s1 = static_cast<double>(sum_of(first));
        const auto s2 = static_cast<double>(sum_of(second));
        const auto origin = static_cast<double>(start);
        total.power += s0;
        total.first += origin * s0 + s1;
        total.second += origin * origin * s0 + 2.0 * origin * s1 + s2;
    }
    return total;
}

struct Logs {
    double sum = 0.0;      // Σ log2 P
    double weighted = 0.0; // Σ P·log2 P
};

Logs logs(std::span<const float> power, BinRange range) noexcept {
    Logs total;
    for (std::size_t start = range.first; start <= range.last; start += kBlock) {
        const std::size_t count = std::min(kBlock, range.last + 1 - start);
        const float* bin = &power[start];
        Lane4 sum{};
        Lane4 weighted{};
        std::size_t k = 0;
        for (; k + 4 <= count; k += 4) {
            const Lane4 p = larger4(load4(bin + k), all4(kLeastPower));
            const Lane4 log2 = log2_approximation(p);
            sum += log2;
            weighted += p * log2;
        }
        if (k < count) {
            Lane4 p = all4(1.0F); // its logarithm is 0
            for (std::size_t lane = 0; k + lane < count; ++lane)
                p[lane] = std::max(bin[k + lane], kLeastPower);
            const Lane4 log2 = log2_approximation(p);
            sum += log2;
            weighted += p * log2;
        }
        total.sum += static_cast<double>(sum_of(sum));
        total.weighted += static_cast<double>(sum_of(weighted));
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
    std::size_t k = range.first;
    for (; k + 8 <= range.last + 1; k += 8) {
        const double next = sum + static_cast<double>(sum_of(load4(&power[k]) + load4(&power[k + 4])));
        if (next >= wanted) break;
        sum = next;
    }
    for (; k < range.last; ++k) {
        sum += static_cast<double>(power[k]);
        if (sum >= wanted) break;
    }
    return static_cast<double>(std::min(k, range.last)) * bin_hz;
}

std::size_t strongest_bin(std::span<const float> power, BinRange range) noexcept {
    Lane4 strongest = all4(power[range.first]);
    std::size_t k = range.first;
    for (; k + 4 <= range.last + 1; k += 4) strongest = larger4(load4(&power[k]), strongest);
    float most = largest_of(strongest);
    for (; k <= range.last; ++k) most = std::max(most, power[k]);
    const auto first = power.begin() + static_cast<std::ptrdiff_t>(range.first);
    const auto end = power.begin() + static_cast<std::ptrdiff_t>(range.last) + 1;
    return std::min(static_cast<std::size_t>(std::find(first, end, most) - power.begin()), range.last);
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
    return moments(power, range).power;
}

SpectralShape spectral_shape(std::span<const float> power, BinRange range, double bin_hz,
                             double rolloff_share) noexcept {
    SpectralShape shape;
    const Moments m = moments(power, range);
    if (m.power <= 0.0) return shape;
    const Logs l = logs(power, range);
    const std::size_t peak = strongest_bin(power, range);

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
    // |a/‖a‖ − b/‖b‖|² = 2 − 2·a·b/(‖a‖‖b‖) with amplitudes a = √P. The scale keeps products of faint powers
    // normal.
    constexpr float kScale = 0x1p40F;
    Lane4 both{};
    Lane4 now{};
    Lane4 before{};
    std::size_t k = range.first;
    for (; k + 4 <= range.last + 1; k += 4) {
        const Lane4 p = load4(&power[k]);
        const Lane4 q = load4(&previous[k]);
        const Lane4 product = (p * kScale) * (q * kScale);
        both +=
            Lane4{std::sqrt(product[0]), std::sqrt(product[1]), std::sqrt(product[2]), std::sqrt(product[3])};
        now += p;
        before += q;
    }
    for (std::size_t lane = 0; k <= range.last; ++k, ++lane) {
        both[lane] += std::sqrt((power[k] * kScale) * (previous[k] * kScale));
        now[lane] += power[k];
        before[lane] += previous[k];
    }
    const double power_now = static_cast<double>(sum_of(now));
    const double power_before = static_cast<double>(sum_of(before));
    if (power_now <= 0.0 || power_before <= 0.0) return 0.0;
    const double product = static_cast<double>(sum_of(both)) / static_cast<double>(kScale);
    return std::sqrt(std::max(0.0, 2.0 - 2.0 * product / std::sqrt(power_now * power_before)));
}

} // namespace quietpass::dsp
