#include "classifiers/tone_detector.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

namespace quietpass {

namespace {

constexpr double kStepsPerOctave = 48.0;
constexpr int kHarmonics = 10;
constexpr double kHighestHarmonicHz = 4000.0;
constexpr double kFalloff = 0.85;
constexpr double kBetween = 0.7;
constexpr float kKeep = 0.8F; // of the path a frame: remembers about 70 ms
constexpr std::size_t kPadding = 2;

} // namespace

ToneDetector::ToneDetector(double f0_low_hz, double f0_high_hz) {
    if (!(f0_low_hz >= 50.0 && f0_high_hz <= 2600.0 && f0_low_hz < f0_high_hz)) {
        throw std::invalid_argument("tone detector: f0 range must lie within 50 … 2600 Hz");
    }
    const auto bin_of = [](double hz) { return static_cast<std::uint16_t>(std::lround(hz / dsp::kBinHz)); };
    const auto steps =
        static_cast<std::size_t>(std::floor(kStepsPerOctave * std::log2(f0_high_hz / f0_low_hz))) + 1;
    begins_.push_back(0);
    for (std::size_t i = 0; i < steps; ++i) {
        const double f0 = f0_low_hz * std::exp2(static_cast<double>(i) / kStepsPerOctave);
        frequencies_.push_back(static_cast<float>(f0));
        for (int h = 1; h <= kHarmonics && (h == 1 || h * f0 <= kHighestHarmonicHz); ++h) {
            const auto weight = static_cast<float>(std::pow(kFalloff, h - 1));
            taps_.push_back({bin_of(h * f0), weight});
            taps_.push_back({bin_of((h - 0.5) * f0), static_cast<float>(-kBetween) * weight});
        }
        begins_.push_back(static_cast<std::uint32_t>(taps_.size()));
    }
    now_.resize(steps);
    paths_.resize(steps + 2 * kPadding);
    next_.resize(steps + 2 * kPadding);
}

void ToneDetector::process(const WhitenedFrame& frame) noexcept {
    const auto& peaks = frame.peaks();
    // A grid step may fall beside a narrow peak: each bin counts as the best of its neighbours too.
    std::array<float, dsp::kBins> wide;
    wide.front() = wide.back() = 0.0F;
    for (std::size_t k = 1; k + 1 < dsp::kBins; ++k) {
        wide[k] = std::max(peaks[k], std::max(peaks[k - 1], peaks[k + 1]));
    }
    const std::size_t steps = now_.size();
    for (std::size_t i = 0; i < steps; ++i) {
        float sum = 0.0F;
        for (std::uint32_t t = begins_[i]; t < begins_[i + 1]; ++t)
            sum += taps_[t].weight * wide[taps_[t].bin];
        now_[i] = sum;
    }
    for (std::size_t i = 0; i < steps; ++i) {
        const float* at = paths_.data() + i;
        const float came = std::max(std::max(std::max(at[0], at[1]), std::max(at[3], at[4])), at[2]);
        next_[i + kPadding] = std::max(0.0F, kKeep * came + (1.0F - kKeep) * now_[i]);
    }
    std::swap(paths_, next_);
    const auto best = std::max_element(paths_.begin() + kPadding, paths_.end() - kPadding);
    best_ = static_cast<std::size_t>(best - paths_.begin()) - kPadding;
    track_ = *best;
    const std::size_t from = best_ < 2 ? 0 : best_ - 2;
    const std::size_t to = std::min(steps - 1, best_ + 2);
    float& recent = recent_[frame_++ % recent_.size()];
    recent = 0.0F;
    for (std::size_t i = from; i <= to; ++i) recent = std::max(recent, now_[i]);
    activity_ = std::min(track_, (recent_[0] + recent_[1] + recent_[2]) / 3.0F);
}

void ToneDetector::reset() noexcept {
    std::fill(paths_.begin(), paths_.end(), 0.0F);
    std::fill(next_.begin(), next_.end(), 0.0F);
    best_ = 0;
    recent_.fill(0.0F);
    frame_ = 0;
    track_ = activity_ = 0.0F;
}

} // namespace quietpass
