#include "classifiers/tone_detector.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "dsp/lanes.h"

namespace quietpass {

using dsp::Lane4;
using dsp::larger4;
using dsp::largest_of;
using dsp::load4;
using dsp::store4;

namespace {

constexpr double kStepsPerOctave = 48.0;
constexpr int kToneHarmonics = 10;
constexpr double kHighestToneHarmonicHz = 4000.0;
constexpr double kToneFalloff = 0.85;
constexpr double kBetweenHarmonics = 0.7;
constexpr float kKeep = 0.8F; // of the path a frame: remembers about 70 ms
constexpr std::size_t kPadding = 2;
constexpr std::uint16_t kNothing = dsp::kBins; // a bin that is always 0

} // namespace

ToneDetector::ToneDetector(double f0_low_hz, double f0_high_hz) {
    if (!(f0_low_hz >= 50.0 && f0_high_hz <= 2600.0 && f0_low_hz < f0_high_hz)) {
        throw std::invalid_argument("tone detector: f0 range must lie within 50 … 2600 Hz");
    }
    const auto bin_of = [](double hz) { return static_cast<std::uint16_t>(std::lround(hz / dsp::kBinHz)); };
    const auto steps =
        static_cast<std::size_t>(std::floor(kStepsPerOctave * std::log2(f0_high_hz / f0_low_hz))) + 1;
    for (int h = 1; h <= kToneHarmonics; ++h) {
        const auto weight = static_cast<float>(std::pow(kToneFalloff, h - 1));
        weights_.push_back(weight);
        weights_.push_back(static_cast<float>(-kBetweenHarmonics) * weight);
    }
    const std::size_t groups = (steps + 3) / 4;
    group_begins_.push_back(0);
    for (std::size_t group = 0; group < groups; ++group) {
        for (std::size_t lane = 0; lane < 4; ++lane) {
            const std::size_t step = 4 * group + lane;
            if (step >= steps) continue;
            const double f0 = f0_low_hz * std::exp2(static_cast<double>(step) / kStepsPerOctave);
            frequencies_.push_back(static_cast<float>(f0));
            std::size_t at = group_begins_.back();
            for (int h = 1; h <= kToneHarmonics && (h == 1 || h * f0 <= kHighestToneHarmonicHz); ++h) {
                if (at == bins_.size()) bins_.resize(at + 2, Bins{kNothing, kNothing, kNothing, kNothing});
                bins_[at++][lane] = bin_of(h * f0);
                bins_[at++][lane] = bin_of((h - 0.5) * f0);
            }
        }
        group_begins_.push_back(static_cast<std::uint32_t>(bins_.size()));
    }
    now_.resize(4 * groups);
    paths_.resize(4 * groups + 2 * kPadding);
    next_.resize(4 * groups + 2 * kPadding);
}

void ToneDetector::process(const WhitenedFrame& frame) noexcept {
    sum_up(frame);
    follow();
}

void ToneDetector::sum_up(const WhitenedFrame& frame) noexcept {
    const auto& peaks = frame.peaks();
    // A grid step may fall beside a narrow peak: each bin counts as the best of its neighbours too.
    std::array<float, dsp::kBins + 1> wide;
    wide.front() = wide[dsp::kBins - 1] = wide[kNothing] = 0.0F;
    static_assert((dsp::kBins - 2) % 4 == 3);
    for (std::size_t k = 1; k + 4 < dsp::kBins; k += 4) {
        store4(&wide[k], larger4(load4(&peaks[k]), larger4(load4(&peaks[k - 1]), load4(&peaks[k + 1]))));
    }
    for (std::size_t k = dsp::kBins - 4; k + 1 < dsp::kBins; ++k)
        wide[k] = std::max(peaks[k], std::max(peaks[k - 1], peaks[k + 1]));

    for (std::size_t group = 0; 4 * group < now_.size(); ++group) {
        Lane4 sum{};
        const float* weight = weights_.data();
        for (std::uint32_t t = group_begins_[group]; t < group_begins_[group + 1]; ++t, ++weight) {
            const Bins& bin = bins_[t];
            sum += *weight * Lane4{wide[bin[0]], wide[bin[1]], wide[bin[2]], wide[bin[3]]};
        }
        store4(&now_[4 * group], sum);
    }
}

// Every path goes on from the best of its own step and the two on either side.
void ToneDetector::follow() noexcept {
    const std::size_t steps = frequencies_.size();
    Lane4 strongest{};
    for (std::size_t i = 0; i < steps; i += 4) {
        const float* at = paths_.data() + i;
        const Lane4 came = larger4(
            larger4(larger4(load4(at), load4(at + 1)), larger4(load4(at + 3), load4(at + 4))), load4(at + 2));
        store4(&next_[i + kPadding], larger4(kKeep * came + (1.0F - kKeep) * load4(&now_[i]), Lane4{}));
    }
    // What is beyond the last step leads nowhere.
    std::fill(next_.begin() + static_cast<std::ptrdiff_t>(kPadding + steps), next_.end(), 0.0F);
    std::swap(paths_, next_);
    for (std::size_t i = 0; i < steps; i += 4) strongest = larger4(load4(&paths_[i + kPadding]), strongest);
    track_ = largest_of(strongest);
    best_ = static_cast<std::size_t>(std::find(paths_.begin() + kPadding, paths_.end(), track_) -
                                     paths_.begin()) -
            kPadding;
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
