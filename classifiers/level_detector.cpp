#include "classifiers/level_detector.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "classifiers/fast_log2.h"
#include "dsp/analysis.h"

namespace quietpass {

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
    ratios_.resize(kSmooth * bands_.size());
}

void LevelDetector::process(std::span<const float> power, std::span<const float> floor) noexcept {
    float* row = ratios_.data() + (frame_ % kSmooth) * bands_.size();
    ++frame_;
    float highest = 0.0F;
    float second = 0.0F;
    for (std::size_t b = 0; b < bands_.size(); ++b) {
        float heard = 0.0F;
        float steady = 0.0F;
        for (std::size_t k = bands_[b].first; k <= bands_[b].last; ++k) {
            heard += power[k];
            steady += floor[k];
        }
        row[b] = allowances_[b] * heard / steady;
        float sum = 0.0F;
        for (std::size_t r = 0; r < kSmooth; ++r) sum += ratios_[r * bands_.size() + b];
        if (sum > highest) {
            second = highest;
            highest = sum;
        } else if (sum > second) {
            second = sum;
        }
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
