#include "classifiers/pitch_measures.h"

#include <algorithm>
#include <cmath>

#include "classifiers/percentile.h"
#include "classifiers/pitch_course.h"

namespace quietpass {

namespace {

constexpr auto kFrames = static_cast<std::size_t>(SoundFrames::kMaxFrames);
constexpr float kDbPerLog2 = 3.0103F;
constexpr float kFrameS = static_cast<float>(1.0 / dsp::kFrameRateHz);

} // namespace

PitchMeasures::PitchMeasures()
    : found_(kFrames),
      points_(kFrames),
      f0_(kFrames),
      tone_(kFrames),
      harmonicity_(kFrames),
      odd_(kFrames),
      standing_(kFrames),
      strongest_(kFrames),
      peaks_(kFrames),
      scratch_(kFrames) {}

void PitchMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    const std::size_t count = frames.count();
    for (std::size_t i = 0; i < count; ++i) estimator_.process(frames.power(i), frames.floor(), found_[i]);
    path_.process({found_.data(), count}, {points_.data(), count});

    std::size_t voiced = 0;
    float tonal = 0.0F;
    float all = 0.0F;
    for (std::size_t i = 0; i < count; ++i) {
        whitened_.process(frames.power(i), frames.floor());
        const auto& peaks = whitened_.peaks();
        const auto clean = frames.clean(i);
        std::size_t narrow = 0;
        for (std::size_t k = 4; k + 1 < dsp::kBins; ++k) {
            all += clean[k];
            if (peaks[k] > 2.0F) tonal += clean[k]; // 6 dB
            narrow += peaks[k] > 2.0F && peaks[k] >= peaks[k - 1] && peaks[k] > peaks[k + 1] ? 1U : 0U;
        }
        peaks_[i] = static_cast<float>(narrow);
        f0_[i] = points_[i].f0_hz;
        if (f0_[i] <= 0.0F) continue;
        const Harmonics h = harmonics_at(f0_[i]);
        tone_[voiced] = h.tone_db;
        odd_[voiced] = h.odd_share;
        standing_[voiced] = static_cast<float>(h.standing_out);
        strongest_[voiced] = static_cast<float>(h.strongest);
        harmonicity_[voiced] = static_cast<float>(dsp::harmonics_to_noise_db(points_[i].periodicity));
        ++voiced;
    }
    row[kTonalBins] = all > 0.0F ? tonal / all : 0.0F;
    row[kPeakCount] = percentile({peaks_.data(), count}, 0.5);
    const PitchRun run = course(count, row);
    if (voiced == 0) return;

    // tone_ holds voiced frames only: those of the run are the ones that follow the voiced frames before it.
    const auto before = static_cast<std::size_t>(std::count_if(
        f0_.begin(), f0_.begin() + static_cast<std::ptrdiff_t>(run.first), [](float f) { return f > 0.0F; }));
    const auto in_run = static_cast<std::size_t>(std::count_if(
        f0_.begin() + static_cast<std::ptrdiff_t>(run.first),
        f0_.begin() + static_cast<std::ptrdiff_t>(run.first + run.count), [](float f) { return f > 0.0F; }));
    std::copy_n(tone_.begin() + static_cast<std::ptrdiff_t>(before), in_run, scratch_.begin());
    row[kRunToneDb] = percentile({scratch_.data(), in_run}, 0.5);

    const std::span<float> tone(tone_.data(), voiced);
    row[kToneDb] = percentile(tone, 0.5);
    row[kToneHighDb] = percentile(tone, 0.9);
    row[kToneIqrDb] = middle_half(tone);
    row[kHarmonicityDb] = percentile({harmonicity_.data(), voiced}, 0.5);
    row[kHarmonicityHighDb] = percentile({harmonicity_.data(), voiced}, 0.9);
    row[kOctaveEvidence] = percentile({odd_.data(), voiced}, 0.5);
    row[kHarmonicCount] = percentile({standing_.data(), voiced}, 0.5);
    row[kStrongestHarmonic] = percentile({strongest_.data(), voiced}, 0.5);
}

PitchMeasures::Harmonics PitchMeasures::harmonics_at(float f0_hz) const noexcept {
    constexpr int kMost = 12;
    constexpr float kHighestHz = 6000.0F;
    const auto& peaks = whitened_.peaks();
    const auto& excess = whitened_.excess();
    const auto around = [](const auto& values, float hz) {
        const auto k = static_cast<std::size_t>(std::lround(hz / static_cast<float>(dsp::kBinHz)));
        if (k < 1 || k + 1 >= values.size()) return 0.0F;
        return std::max(values[k], std::max(values[k - 1], values[k + 1]));
    };
    Harmonics out;
    float sum = 0.0F;
    float odd = 0.0F;
    float highest = 0.0F;
    int count = 0;
    for (int h = 1; h <= kMost && (h == 1 || static_cast<float>(h) * f0_hz <= kHighestHz); ++h) {
        const float hz = static_cast<float>(h) * f0_hz;
        const float peak = around(peaks, hz);
        sum += peak;
        if (h % 2 == 1) odd += peak;
        if (peak > 2.0F) ++out.standing_out;
        const float level = around(excess, hz);
        if (level > highest) {
            highest = level;
            out.strongest = h;
        }
        ++count;
    }
    // The four lowest carry most voices; one lone whistle counts in full.
    out.tone_db = kDbPerLog2 * sum / static_cast<float>(std::min(count, 4));
    out.odd_share = sum > 0.0F ? odd / sum : 0.0F;
    return out;
}

PitchRun PitchMeasures::course(std::size_t count, MeasureRow& row) noexcept {
    const std::span<const float> f0(f0_.data(), count);
    std::size_t voiced = 0;
    for (const float hz : f0) {
        if (hz > 0.0F) scratch_[voiced++] = hz;
    }
    std::size_t breaks = 0;
    const PitchRun run = longest_run(f0, breaks);
    if (voiced == 0) return run;
    const float duration_s = static_cast<float>(count) * kFrameS;
    const std::span<float> heard(scratch_.data(), voiced);
    row[kVoicedS] = static_cast<float>(voiced) * kFrameS;
    row[kVoicedShare] = static_cast<float>(voiced) / static_cast<float>(count);
    row[kPitchBreaks] = static_cast<float>(breaks) / duration_s;
    row[kF0LowHz] = percentile(heard, 0.1);
    row[kF0Hz] = percentile(heard, 0.5);
    row[kF0HighHz] = percentile(heard, 0.9);
    row[kF0RangeOct] = std::log2(row[kF0HighHz] / row[kF0LowHz]);
    row[kJitter] = static_cast<float>(jitter_percent(f0));
    const std::size_t steady = longest_steady(f0);
    row[kSteadyPitchS] = static_cast<float>(steady) * kFrameS;
    row[kSteadyPitchShare] = static_cast<float>(steady) / static_cast<float>(voiced);

    const auto stretch = f0.subspan(run.first, run.count);
    row[kPitchRunS] = static_cast<float>(run.count) * kFrameS;
    row[kPitchRunShare] = static_cast<float>(run.count) / static_cast<float>(count);
    const PitchArch arch = arch_of(stretch);
    row[kRunSlope] = static_cast<float>(arch.slope_oct_s);
    row[kRunArchOct] = static_cast<float>(arch.arch_oct);
    row[kRunRangeOct] = static_cast<float>(arch.range_oct);
    row[kRunWanderOct] = static_cast<float>(arch.wander_oct);
    std::size_t in_run = 0;
    for (const float hz : stretch) {
        if (hz > 0.0F) scratch_[in_run++] = hz;
    }
    row[kRunF0Hz] = percentile({scratch_.data(), in_run}, 0.5);
    return run;
}

} // namespace quietpass
