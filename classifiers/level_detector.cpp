#include "classifiers/level_detector.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "classifiers/fast_log2.h"
#include "dsp/analysis.h"
#include "dsp/lanes.h"

namespace quietpass {

using dsp::Lane4;
using dsp::larger4;
using dsp::load4;
using dsp::smaller4;
using dsp::store4;

namespace {

float sum_of_bins(const float* values, const dsp::BinRange& range) noexcept {
    Lane4 lanes{};
    std::size_t k = range.first;
    for (; k + 4 <= range.last + 1; k += 4) lanes += load4(values + k);
    float sum = dsp::sum_of(lanes);
    for (; k <= range.last; ++k) sum += values[k];
    return sum;
}

} // namespace

LevelDetector::LevelDetector(double low_hz, double high_hz) {
    if (!(low_hz >= 30.0 && high_hz <= 8000.0 && 2.0 * low_hz <= high_hz)) {
        throw std::invalid_argument("level detector: band must lie within 30 … 8000 Hz and span an octave");
    }
    // Narrower bands than this sway too much in plain noise.
    constexpr std::size_t kFewestBins = 4;
    const std::size_t last = dsp::bins_between(low_hz, high_hz, dsp::kBinHz, dsp::kBins).last;
    std::size_t first = dsp::bins_between(low_hz, high_hz, dsp::kBinHz, dsp::kBins).first;
    while (first + kFewestBins <= last + 1) {
        const auto half_octave = static_cast<std::size_t>(std::lround(static_cast<double>(first) * 0.4142));
        std::size_t end = std::min(first + std::max(kFewestBins, half_octave), last + 1);
        if (last + 1 - end < kFewestBins) end = last + 1;
        bands_.push_back({first, end - 1});
        first = end;
    }
    for (const dsp::BinRange& band : bands_) {
        const auto bins = static_cast<double>(band.last - band.first + 1);
        allowances_.push_back(static_cast<float>(std::pow(10.0, -0.4 / std::sqrt(bins))));
    }
    stride_ = (bands_.size() + 3) / 4 * 4;
    allowances_.resize(stride_, 0.0F);
    heard_.resize(stride_, 0.0F);
    steady_.resize(stride_, 1.0F);
    ratios_.resize(kSmooth * stride_);
}

void LevelDetector::process(std::span<const float> power, std::span<const float> floor) noexcept {
    float* row = ratios_.data() + (frame_ % kSmooth) * stride_;
    ++frame_;
    for (std::size_t b = 0; b < bands_.size(); ++b) {
        heard_[b] = sum_of_bins(power.data(), bands_[b]);
        steady_[b] = sum_of_bins(floor.data(), bands_[b]);
    }
    // The padding has an allowance of 0 and never stands out.
    for (std::size_t b = 0; b < stride_; b += 4)
        store4(row + b, load4(&allowances_[b]) * load4(&heard_[b]) / load4(&steady_[b]));
    Lane4 tops{};
    Lane4 seconds{};
    for (std::size_t b = 0; b < stride_; b += 4) {
        Lane4 sum{};
        for (std::size_t r = 0; r < kSmooth; ++r) sum += load4(&ratios_[r * stride_ + b]);
        seconds = larger4(seconds, smaller4(sum, tops));
        tops = larger4(sum, tops);
    }
    float highest = 0.0F;
    float second = 0.0F;
    for (std::size_t lane = 0; lane < 4; ++lane) {
        second = std::max({second, seconds[lane], std::min(tops[lane], highest)});
        highest = std::max(highest, tops[lane]);
    }
    constexpr float kHalfDbPerLog2 = 1.50515F; // ½ · 10·log10(2)
    constexpr float kMean = 1.0F / static_cast<float>(kSmooth);
    constexpr float kLeast = 1e-6F;
    excess_db_ = kHalfDbPerLog2 *
                 (fast_log2(std::max(kLeast, highest * kMean)) + fast_log2(std::max(kLeast, second * kMean)));
}

void LevelDetector::reset() noexcept {
    std::fill(ratios_.begin(), ratios_.end(), 0.0F);
    frame_ = 0;
    excess_db_ = 0.0F;
}

} // namespace quietpass
