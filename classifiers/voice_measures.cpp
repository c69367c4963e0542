#include "classifiers/voice_measures.h"

#include <algorithm>
#include <cmath>

#include "classifiers/percentile.h"
#include "classifiers/pitch_course.h"
#include "classifiers/voice_colour.h"
#include "dsp/decibel.h"

namespace quietpass {

VoiceMeasures::VoiceMeasures(double f0_low_hz, double f0_high_hz)
    : tracker_(f0_low_hz, f0_high_hz), scratch_(kMaxFrames), loudness_(kMaxFrames) {}

VoiceMeasures::Stretch VoiceMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    const Stretch voice = tracker_.process(frames);
    measure_tones(frames, row);
    if (voice.count < 3) return {};
    row[kVoiceS] = static_cast<float>(voice.count) * static_cast<float>(dsp::kFrameS);
    row[kVoiceShare] = static_cast<float>(voice.count) / static_cast<float>(frames.count());
    measure_strength(voice, row);
    measure_pitch(voice, row);
    measure_harmonics(voice, row);
    measure_loudness(voice, row);
    return voice;
}

void VoiceMeasures::measure_tones(const SoundFrames& frames, MeasureRow& row) noexcept {
    constexpr float kNarrow = 2.0F; // log2, 6 dB over the surroundings
    float tonal = 0.0F;
    float all = 0.0F;
    for (std::size_t i = 0; i < frames.count(); ++i) {
        const auto peaks = tracker_.peaks(i);
        const auto clean = frames.clean(i);
        std::size_t narrow = 0;
        for (std::size_t k = 4; k + 1 < dsp::kBins; ++k) {
            all += clean[k];
            if (peaks[k] <= kNarrow) continue;
            tonal += clean[k];
            narrow += peaks[k] >= peaks[k - 1] && peaks[k] > peaks[k + 1] ? 1U : 0U;
        }
        scratch_[i] = static_cast<float>(narrow);
    }
    row[kTonalBins] = all > 0.0F ? tonal / all : 0.0F;
    row[kPeakCount] = percentile({scratch_.data(), frames.count()}, 0.5);
}

void VoiceMeasures::measure_strength(const Stretch& voice, MeasureRow& row) noexcept {
    const auto salience = tracker_.path_salience().subspan(voice.first, voice.count);
    float sum = 0.0F;
    for (const float s : salience) sum += s;
    row[kVoiceSum] = sum * static_cast<float>(dsp::kFrameS);
    row[kVoiceTone] = sum / static_cast<float>(voice.count);
    const std::span<float> some(scratch_.data(), voice.count);
    std::ranges::copy(salience, some.begin());
    row[kVoiceToneLow] = percentile(some, 0.1);
    row[kVoiceToneHigh] = percentile(some, 0.9);

    // What the same spectra say for the octave under and over the path.
    constexpr std::size_t kOctave = VoiceTracker::kStepsPerOctave;
    float under = 0.0F;
    float over = 0.0F;
    for (std::size_t i = voice.first; i < voice.first + voice.count; ++i) {
        const auto all = tracker_.salience(i);
        const std::size_t step = tracker_.path()[i];
        if (step >= kOctave) under += all[step - kOctave];
        if (step + kOctave < all.size()) over += all[step + kOctave];
    }
    row[kVoiceOctaveDown] = under / std::max(sum, 1e-3F);
    row[kVoiceOctaveUp] = over / std::max(sum, 1e-3F);
}

void VoiceMeasures::measure_pitch(const Stretch& voice, MeasureRow& row) noexcept {
    const auto f0 = tracker_.f0_hz().subspan(voice.first, voice.count);
    const std::span<float> some(scratch_.data(), voice.count);
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

    const auto path = tracker_.path().subspan(voice.first, voice.count);
    std::size_t turns = 0;
    std::ptrdiff_t direction = 0;
    float moved = 0.0F;
    for (std::size_t i = 1; i < path.size(); ++i) {
        const std::ptrdiff_t move = path[i] - static_cast<std::ptrdiff_t>(path[i - 1]);
        moved += static_cast<float>(std::abs(move));
        if (move * direction < 0) ++turns;
        if (move != 0) direction = move;
    }
    row[kVoiceMoveOctS] = moved / static_cast<float>(VoiceTracker::kStepsPerOctave) / row[kVoiceS];
    row[kVoiceTurns] = static_cast<float>(turns) / row[kVoiceS];
}

void VoiceMeasures::measure_harmonics(const Stretch& voice, MeasureRow& row) noexcept {
    VoiceColour colour(voice.count);
    for (std::size_t i = 0; i < voice.count; ++i) {
        const std::size_t frame = voice.first + i;
        loudness_[i] = dsp::kDbPerLog2 *
                       colour.add(tracker_.f0_hz()[frame], tracker_.excess(frame), tracker_.peaks(frame));
    }
    colour.write(row);
}

// The harmonics' own course of loudness.
void VoiceMeasures::measure_loudness(const Stretch& voice, MeasureRow& row) noexcept {
    const auto frames = static_cast<float>(voice.count);
    const std::span<const float> loudness(loudness_.data(), voice.count);
    modulation_.process(loudness);
    row[kVoiceMod3] = static_cast<float>(modulation_.share(3.0, 6.0));
    row[kVoiceMod6] = static_cast<float>(modulation_.share(6.0, 12.0));
    row[kVoiceMod12] = static_cast<float>(modulation_.share(12.0, 25.0));
    float rough = 0.0F;
    for (std::size_t i = 1; i < voice.count; ++i) rough += std::abs(loudness[i] - loudness[i - 1]);
    row[kVoiceRoughDb] = rough / frames;
    const auto loudest = std::max_element(loudness.begin(), loudness.end()) - loudness.begin();
    row[kVoicePeakAt] = static_cast<float>(loudest) / frames;
    const std::span<float> some(scratch_.data(), voice.count);
    std::ranges::copy(loudness, some.begin());
    row[kVoiceLoudDb] = percentile(some, 0.9);
    row[kVoiceLoudIqrDb] = middle_half(some);
    const std::size_t quarter = std::max<std::size_t>(1, voice.count / 4);
    float start = 0.0F;
    float end = 0.0F;
    for (std::size_t i = 0; i < quarter; ++i) {
        start += loudness[i];
        end += loudness[voice.count - 1 - i];
    }
    row[kVoiceRiseDb] = row[kVoiceLoudDb] - start / static_cast<float>(quarter);
    row[kVoiceFallDb] = row[kVoiceLoudDb] - end / static_cast<float>(quarter);
}

} // namespace quietpass
