#include "classifiers/voice_measures.h"

#include <algorithm>
#include <cmath>

#include "classifiers/fast_log2.h"
#include "classifiers/percentile.h"
#include "classifiers/pitch_course.h"

namespace quietpass {

namespace {

constexpr double kStepsPerOctave = 48.0;
constexpr int kHarmonics = 12;
constexpr double kHighestHarmonicHz = 5000.0;
constexpr double kFalloff = 0.88;
constexpr double kBetween = 0.6;
constexpr std::ptrdiff_t kReach = 3; // steps of pitch a frame, 1/16 octave
constexpr float kMoveCost = 0.12F;   // salience a step
constexpr double kLowVoiceHz = 100.0;
constexpr std::size_t kLongestHole = 4; // frames
constexpr auto kMaxFrames = static_cast<std::size_t>(SoundFrames::kMaxFrames);
constexpr float kDbPerLog2 = 3.0103F;
constexpr float kFrameS = static_cast<float>(1.0 / dsp::kFrameRateHz);
constexpr std::size_t kVoiceBands = 6; // octaves from 125 Hz on

float at(const float* values, float hz) noexcept {
    const float place =
        std::min(hz / static_cast<float>(dsp::kBinHz), static_cast<float>(dsp::kBins) - 1.001F);
    const auto k = static_cast<std::size_t>(place);
    const float upper = place - static_cast<float>(k);
    return values[k] + upper * (values[k + 1] - values[k]);
}

// The highest around: harmonics are seldom exactly where the fundamental puts them.
float around(const float* values, float hz) noexcept {
    const auto k = static_cast<std::size_t>(std::lround(hz / static_cast<float>(dsp::kBinHz)));
    if (k < 1 || k + 1 >= dsp::kBins) return 0.0F;
    return std::max(values[k], std::max(values[k - 1], values[k + 1]));
}

std::size_t band_of(float hz) noexcept {
    std::size_t band = 0;
    float edge = 250.0F;
    while (band + 1 < kVoiceBands && hz >= edge) {
        edge *= 2.0F;
        ++band;
    }
    return band;
}

} // namespace

VoiceMeasures::VoiceMeasures(double f0_low_hz, double f0_high_hz)
    : side_(f0_low_hz < kLowVoiceHz ? 2 : 1),
      voiced_(f0_low_hz < kLowVoiceHz ? 1.3F : 1.5F),
      excess_(kMaxFrames * dsp::kBins),
      peaks_(kMaxFrames * dsp::kBins),
      path_(kMaxFrames),
      path_salience_(kMaxFrames),
      f0_(kMaxFrames),
      scratch_(kMaxFrames),
      loudness_(kMaxFrames) {
    const auto steps =
        static_cast<std::size_t>(std::floor(kStepsPerOctave * std::log2(f0_high_hz / f0_low_hz))) + 1;
    begins_.push_back(0);
    for (std::size_t i = 0; i < steps; ++i) {
        const double f0 = f0_low_hz * std::exp2(static_cast<double>(i) / kStepsPerOctave);
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

VoiceMeasures::Stretch VoiceMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    const std::size_t count = frames.count();
    if (count == 0) return {};
    whiten(frames);
    for (std::size_t i = 0; i < count; ++i) salience(i);
    follow(count);
    const Stretch voice = strongest_stretch(count);
    if (voice.count < 3) return {};
    measure_pitch(voice, count, row);
    measure_harmonics(voice, row);
    return voice;
}

void VoiceMeasures::whiten(const SoundFrames& frames) noexcept {
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
        float* e = excess(i);
        for (std::size_t k = 0; k < dsp::kBins; ++k) e[k] = fast_log2(1.0F + heard[k] * inverse[k]);
        e[0] = e[1] = e[2] = 1.0F;
        std::array<float, dsp::kBins + 2 * kSide + 1> sums;
        sums[0] = 0.0F;
        for (std::size_t j = 0; j < dsp::kBins + 2 * kSide; ++j) {
            const std::size_t k = j < kSide ? 0 : std::min(j - kSide, dsp::kBins - 1);
            sums[j + 1] = sums[j] + e[k];
        }
        constexpr float kShare = 1.0F / static_cast<float>(2 * kSide + 1);
        float* p = peaks(i);
        for (std::size_t k = 0; k < dsp::kBins; ++k) {
            p[k] = std::clamp(e[k] - (sums[k + 2 * kSide + 1] - sums[k]) * kShare, -2.0F, 5.0F);
        }
    }
}

void VoiceMeasures::salience(std::size_t frame) noexcept {
    const std::size_t steps = grid_hz_.size();
    const float* p = peaks(frame);
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

void VoiceMeasures::follow(std::size_t count) noexcept {
    const std::size_t steps = grid_hz_.size();
    float* was = best_.data();
    float* now = best_.data() + steps;
    std::copy_n(salience_.begin(), steps, was);
    for (std::size_t n = 1; n < count; ++n) {
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
    for (std::size_t n = count; n-- > 0;) {
        const auto step = static_cast<std::size_t>(at_step);
        path_[n] = static_cast<std::uint16_t>(step);
        path_salience_[n] = salience_[n * steps + step];
        f0_[n] = grid_hz_[step];
        if (n > 0) at_step += back_[n * steps + step];
    }
}

VoiceMeasures::Stretch VoiceMeasures::strongest_stretch(std::size_t count) const noexcept {
    // The stretch with the most salience above the threshold, holes counting against it (Kadane's sum).
    Stretch best;
    float best_sum = 0.0F;
    float sum = 0.0F;
    std::size_t first = 0;
    std::size_t hole = 0;
    for (std::size_t i = 0; i < count; ++i) {
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

void VoiceMeasures::measure_pitch(const Stretch& voice, std::size_t count, MeasureRow& row) noexcept {
    const std::size_t steps = grid_hz_.size();
    const auto first = static_cast<std::ptrdiff_t>(voice.first);
    const auto length = static_cast<std::ptrdiff_t>(voice.count);
    const std::span<const float> f0(f0_.data() + voice.first, voice.count);
    const std::span<float> some(scratch_.data(), voice.count);
    row[kVoiceS] = static_cast<float>(voice.count) * kFrameS;
    row[kVoiceShare] = static_cast<float>(voice.count) / static_cast<float>(count);

    std::copy_n(path_salience_.begin() + first, length, some.begin());
    float sum = 0.0F;
    for (const float s : some) sum += s;
    row[kVoiceSum] = sum * kFrameS;
    row[kVoiceTone] = sum / static_cast<float>(voice.count);
    row[kVoiceToneLow] = percentile(some, 0.1);
    row[kVoiceToneHigh] = percentile(some, 0.9);

    std::ranges::copy(f0, some.begin());
    row[kVoiceF0LowHz] = percentile(some, 0.1);
    row[kVoiceF0Hz] = percentile(some, 0.5);
    row[kVoiceF0HighHz] = percentile(some, 0.9);
    const PitchArch arch = arch_of(f0);
    row[kVoiceSlope] = static_cast<float>(arch.slope_oct_s);
    row[kVoiceArchOct] = static_cast<float>(arch.arch_oct);
    row[kVoiceRangeOct] = static_cast<float>(arch.range_oct);
    row[kVoiceWanderOct] = static_cast<float>(arch.wander_oct);
    row[kVoiceSteadyShare] = static_cast<float>(longest_steady(f0)) / static_cast<float>(voice.count);
    std::size_t turns = 0;
    std::ptrdiff_t direction = 0;
    float moved = 0.0F;
    for (std::size_t i = voice.first + 1; i < voice.first + voice.count; ++i) {
        const std::ptrdiff_t move = path_[i] - static_cast<std::ptrdiff_t>(path_[i - 1]);
        moved += static_cast<float>(std::abs(move));
        if (move * direction < 0) ++turns;
        if (move != 0) direction = move;
    }
    row[kVoiceMoveOctS] = moved / static_cast<float>(kStepsPerOctave) / row[kVoiceS];
    row[kVoiceTurns] = static_cast<float>(turns) / row[kVoiceS];

    // What the same spectra say for the octave under and over the path.
    constexpr auto kOctave = static_cast<std::size_t>(kStepsPerOctave);
    float under = 0.0F;
    float over = 0.0F;
    for (std::size_t i = voice.first; i < voice.first + voice.count; ++i) {
        const float* s = salience_.data() + i * steps;
        if (path_[i] >= kOctave) under += s[path_[i] - kOctave];
        if (path_[i] + kOctave < steps) over += s[path_[i] + kOctave];
    }
    row[kVoiceOctaveDown] = under / std::max(sum, 1e-3F);
    row[kVoiceOctaveUp] = over / std::max(sum, 1e-3F);
}

void VoiceMeasures::measure_harmonics(const Stretch& voice, MeasureRow& row) noexcept {
    constexpr int kMost = 40;
    constexpr float kHighestHz = 7000.0F;
    std::array<float, kVoiceBands> level{};
    std::array<float, kVoiceBands> contrast{};
    std::array<float, kVoiceBands> taken{};
    std::array<float, kVoiceBands> before{};
    std::array<float, kVoiceBands> early{};
    std::array<float, kVoiceBands> late{};
    std::array<float, kVoiceBands> early_taken{};
    std::array<float, kVoiceBands> late_taken{};
    float changes = 0.0F;
    float standing = 0.0F;
    float highest_hz = 0.0F;
    float strongest_hz = 0.0F;
    float odd = 0.0F;
    float even = 0.0F;
    for (std::size_t i = 0; i < voice.count; ++i) {
        const std::size_t frame = voice.first + i;
        const float f0 = f0_[frame];
        const float* e = excess(frame);
        const float* p = peaks(frame);
        std::array<float, kVoiceBands> now{};
        std::array<float, kVoiceBands> in_band{};
        float loudest = 0.0F;
        float loudest_hz = 0.0F;
        float top_hz = 0.0F;
        float all = 0.0F;
        int count = 0;
        for (int h = 1; h <= kMost && (h == 1 || static_cast<float>(h) * f0 <= kHighestHz); ++h) {
            const float hz = static_cast<float>(h) * f0;
            const float here = around(e, hz);
            const float stands = around(p, hz);
            const std::size_t band = band_of(hz);
            now[band] += here;
            in_band[band] += 1.0F;
            contrast[band] += stands - at(p, hz + 0.5F * f0);
            all += here;
            ++count;
            if (stands > 1.3F) { // 4 dB
                standing += 1.0F;
                top_hz = hz;
            }
            if (h % 2 == 1)
                odd += std::max(0.0F, stands);
            else
                even += std::max(0.0F, stands);
            if (here > loudest) {
                loudest = here;
                loudest_hz = hz;
            }
        }
        highest_hz += top_hz;
        strongest_hz += loudest_hz;
        loudness_[i] = kDbPerLog2 * all / static_cast<float>(count);
        for (std::size_t b = 0; b < kVoiceBands; ++b) {
            level[b] += now[b];
            taken[b] += in_band[b];
            if (in_band[b] <= 0.0F) continue;
            const float mean = now[b] / in_band[b];
            if (i > 0) changes += std::abs(mean - before[b]);
            before[b] = mean;
            if (3 * i < voice.count) {
                early[b] += mean;
                early_taken[b] += 1.0F;
            } else if (3 * i >= 2 * voice.count) {
                late[b] += mean;
                late_taken[b] += 1.0F;
            }
        }
    }
    const auto frames = static_cast<float>(voice.count);
    float drift = 0.0F;
    for (std::size_t b = 0; b < kVoiceBands; ++b) {
        if (taken[b] <= 0.0F) continue;
        row[kVoice125Db + b] = kDbPerLog2 * level[b] / taken[b];
        row[kVoiceContrast125Db + b] = kDbPerLog2 * contrast[b] / taken[b];
        if (early_taken[b] > 0.0F && late_taken[b] > 0.0F) {
            drift += std::abs(early[b] / early_taken[b] - late[b] / late_taken[b]);
        }
    }
    constexpr float kPerBand = kDbPerLog2 / static_cast<float>(kVoiceBands);
    row[kVoiceDriftDb] = kPerBand * drift;
    row[kVoiceChangeDb] = kPerBand * changes / frames;
    row[kVoiceHarmonics] = standing / frames;
    row[kVoiceHighestHz] = highest_hz / frames;
    row[kVoiceStrongestHz] = strongest_hz / frames;
    row[kVoiceOddShare] = odd + even > 0.0F ? odd / (odd + even) : 0.0F;
    row[kVoiceTiltDb] =
        0.25F * (row[kVoice125Db + 4] + row[kVoice125Db + 5] - row[kVoice125Db + 1] - row[kVoice125Db]);
    row[kVoiceHumpDb] = row[kVoice125Db + 2] - 0.5F * (row[kVoice125Db + 1] + row[kVoice125Db + 4]);

    // The harmonics' own course of loudness.
    const std::span<float> loudness(loudness_.data(), voice.count);
    modulation_.process(loudness);
    row[kVoiceMod3] = static_cast<float>(modulation_.share(3.0, 6.0));
    row[kVoiceMod6] = static_cast<float>(modulation_.share(6.0, 12.0));
    row[kVoiceMod12] = static_cast<float>(modulation_.share(12.0, 25.0));
    float rough = 0.0F;
    for (std::size_t i = 1; i < voice.count; ++i) rough += std::abs(loudness[i] - loudness[i - 1]);
    row[kVoiceRoughDb] = rough / frames;
    const auto loudest =
        static_cast<std::size_t>(std::max_element(loudness.begin(), loudness.end()) - loudness.begin());
    row[kVoicePeakAt] = static_cast<float>(loudest) / frames;
    std::ranges::copy(loudness, scratch_.begin());
    const std::span<float> some(scratch_.data(), voice.count);
    row[kVoiceLoudDb] = percentile(some, 0.9);
    row[kVoiceLoudIqrDb] = middle_half(some);
    const std::size_t third = std::max<std::size_t>(1, voice.count / 4);
    float start = 0.0F;
    float end = 0.0F;
    for (std::size_t i = 0; i < third; ++i) {
        start += loudness[i];
        end += loudness[voice.count - 1 - i];
    }
    row[kVoiceRiseDb] = row[kVoiceLoudDb] - start / static_cast<float>(third);
    row[kVoiceFallDb] = row[kVoiceLoudDb] - end / static_cast<float>(third);
}

} // namespace quietpass
