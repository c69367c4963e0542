#include "classifiers/voice_tracker.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "classifiers/fast_log2.h"

namespace quietpass {

namespace {

constexpr int kHarmonics = 12;
constexpr double kHighestHarmonicHz = 5000.0;
constexpr double kFalloff = 0.88;
constexpr double kBetween = 0.6;
constexpr std::ptrdiff_t kReach = 3; // steps of pitch a frame, 1/16 octave
constexpr float kMoveCost = 0.12F;   // salience a step
constexpr double kLowVoiceHz = 100.0;
constexpr std::size_t kLongestHole = 4; // frames

} // namespace

VoiceTracker::VoiceTracker(double f0_low_hz, double f0_high_hz)
    : side_(f0_low_hz < kLowVoiceHz ? 2 : 1),
      voiced_(f0_low_hz < kLowVoiceHz ? 1.3F : 1.5F),
      excess_(kMaxFrames * dsp::kBins),
      peaks_(kMaxFrames * dsp::kBins),
      path_(kMaxFrames),
      path_salience_(kMaxFrames),
      f0_(kMaxFrames) {
    const auto steps = static_cast<std::size_t>(std::floor(static_cast<double>(kStepsPerOctave) *
                                                           std::log2(f0_high_hz / f0_low_hz))) +
                       1;
    begins_.push_back(0);
    for (std::size_t i = 0; i < steps; ++i) {
        const double f0 =
            f0_low_hz * std::exp2(static_cast<double>(i) / static_cast<double>(kStepsPerOctave));
        grid_hz_.push_back(static_cast<float>(f0));
        const auto tap = [&](double hz, double weight) {
            const double place = hz / dsp::kBinHz;
            const auto bin = static_cast<std::uint16_t>(place);
            taps_.push_back({bin, static_cast<float>(place - bin), static_cast<float>(weight)});
        };
        double all = 0.0;
        const auto first = static_cast<std::ptrdiff_t>(taps_.size());
        for (int h = 1; h <= kHarmonics && (h == 1 || h * f0 <= kHighestHarmonicHz); ++h) {
            const double weight = std::pow(kFalloff, h - 1);
            tap(h * f0, weight);
            tap((h - 0.5) * f0, -kBetween * weight);
            all += weight;
        }
        // A lone whistle is a voice too: few harmonics weigh nearly as much as many.
        const double share = 1.0 / std::pow(all, 0.7);
        std::for_each(taps_.begin() + first, taps_.end(),
                      [&](Tap& t) { t.weight *= static_cast<float>(share); });
        begins_.push_back(static_cast<std::uint32_t>(taps_.size()));
    }
    salience_.resize(kMaxFrames * steps);
    back_.resize(kMaxFrames * steps);
    best_.resize(2 * steps);
}

VoiceTracker::Stretch VoiceTracker::process(const SoundFrames& frames) noexcept {
    count_ = frames.count();
    if (count_ == 0) return {};
    whiten(frames);
    for (std::size_t i = 0; i < count_; ++i) find_salience(i);
    follow();
    return strongest_stretch();
}

void VoiceTracker::whiten(const SoundFrames& frames) noexcept {
    const std::size_t count = frames.count();
    const auto floor = frames.floor();
    std::array<float, dsp::kBins> inverse;
    for (std::size_t k = 0; k < dsp::kBins; ++k)
        inverse[k] = 1.0F / (static_cast<float>(2 * side_ + 1) * floor[k]);
    constexpr std::size_t kSide = 10;
    for (std::size_t i = 0; i < count; ++i) {
        std::array<float, dsp::kBins> heard{};
        for (std::ptrdiff_t j = -side_; j <= side_; ++j) {
            const auto frame = std::clamp<std::ptrdiff_t>(static_cast<std::ptrdiff_t>(i) + j, 0,
                                                          static_cast<std::ptrdiff_t>(count) - 1);
            const auto power = frames.power(static_cast<std::size_t>(frame));
            for (std::size_t k = 0; k < dsp::kBins; ++k) heard[k] += power[k];
        }
        float* e = excess_.data() + i * dsp::kBins;
        for (std::size_t k = 0; k < dsp::kBins; ++k) e[k] = fast_log2(1.0F + heard[k] * inverse[k]);
        e[0] = e[1] = e[2] = 1.0F;
        std::array<float, dsp::kBins + 2 * kSide + 1> sums;
        sums[0] = 0.0F;
        for (std::size_t j = 0; j < dsp::kBins + 2 * kSide; ++j) {
            const std::size_t k = j < kSide ? 0 : std::min(j - kSide, dsp::kBins - 1);
            sums[j + 1] = sums[j] + e[k];
        }
        constexpr float kShare = 1.0F / static_cast<float>(2 * kSide + 1);
        float* p = peaks_.data() + i * dsp::kBins;
        for (std::size_t k = 0; k < dsp::kBins; ++k) {
            p[k] = std::clamp(e[k] - (sums[k + 2 * kSide + 1] - sums[k]) * kShare, -2.0F, 5.0F);
        }
    }
}

void VoiceTracker::find_salience(std::size_t frame) noexcept {
    const std::size_t steps = grid_hz_.size();
    const float* p = peaks(frame).data();
    float* out = salience_.data() + frame * steps;
    for (std::size_t i = 0; i < steps; ++i) {
        float sum = 0.0F;
        for (std::uint32_t t = begins_[i]; t < begins_[i + 1]; ++t) {
            const Tap& tap = taps_[t];
            sum += tap.weight * (p[tap.bin] + tap.upper * (p[tap.bin + 1] - p[tap.bin]));
        }
        out[i] = sum;
    }
}

void VoiceTracker::follow() noexcept {
    const std::size_t steps = grid_hz_.size();
    float* was = best_.data();
    float* now = best_.data() + steps;
    std::copy_n(salience_.begin(), steps, was);
    for (std::size_t n = 1; n < count_; ++n) {
        const float* s = salience_.data() + n * steps;
        std::int8_t* back = back_.data() + n * steps;
        float top = was[0];
        for (std::size_t i = 0; i < steps; ++i) {
            const auto lowest = std::max<std::ptrdiff_t>(0, static_cast<std::ptrdiff_t>(i) - kReach);
            const auto highest =
                std::min(static_cast<std::ptrdiff_t>(steps) - 1, static_cast<std::ptrdiff_t>(i) + kReach);
            float best = -1e30F;
            std::ptrdiff_t from = 0;
            for (std::ptrdiff_t j = lowest; j <= highest; ++j) {
                const auto move = j - static_cast<std::ptrdiff_t>(i);
                const float value = was[j] - kMoveCost * static_cast<float>(std::abs(move));
                if (value > best) {
                    best = value;
                    from = move;
                }
            }
            now[i] = best + s[i];
            back[i] = static_cast<std::int8_t>(from);
            top = std::max(top, now[i]);
        }
        std::swap(was, now);
    }
    auto at_step = static_cast<std::ptrdiff_t>(std::max_element(was, was + steps) - was);
    for (std::size_t n = count_; n-- > 0;) {
        const auto step = static_cast<std::size_t>(at_step);
        path_[n] = static_cast<std::uint16_t>(step);
        path_salience_[n] = salience_[n * steps + step];
        f0_[n] = grid_hz_[step];
        if (n > 0) at_step += back_[n * steps + step];
    }
}

VoiceTracker::Stretch VoiceTracker::strongest_stretch() const noexcept {
    // The stretch with the most salience above the threshold, holes counting against it (Kadane's sum).
    Stretch best;
    float best_sum = 0.0F;
    float sum = 0.0F;
    std::size_t first = 0;
    std::size_t hole = 0;
    for (std::size_t i = 0; i < count_; ++i) {
        const float over = path_salience_[i] - voiced_;
        hole = over < 0.0F ? hole + 1 : 0;
        if (sum <= 0.0F || hole > kLongestHole) {
            sum = 0.0F;
            first = i;
        }
        sum += over;
        if (sum > best_sum) {
            best_sum = sum;
            best = {first, i - first + 1};
        }
    }
    return best;
}

} // namespace quietpass
