#include <algorithm>
#include <array>
#include <cmath>

#include "classifiers/tuning/biquad.h"
#include "classifiers/tuning/plant_noise.h"
#include "classifiers/tuning/room.h"

namespace quietpass::tuning {
namespace {

// Adds `part` at `level_db` of RMS.
void mix(std::vector<float>& bed, const std::vector<float>& part, double level_db) {
    const double rms = rms_of(part.data(), part.size());
    if (rms <= 0) return;
    const auto gain = static_cast<float>(std::pow(10.0, level_db / 20.0) / rms);
    for (std::size_t i = 0; i < bed.size(); ++i) bed[i] += gain * part[i];
}

// Noise whose density falls with f^-slope, 0 < slope < 2, between 30 Hz and 8 kHz: low passes an octave
// apart, each as strong as the slope asks for at its corner. 1 is pink.
std::vector<float> tilted_noise(std::size_t count, Random& random) {
    constexpr std::size_t kSections = 9;
    const double slope = random.between(0.5, 1.8);
    std::array<float, kSections> keep{};
    std::array<float, kSections> gain{};
    std::array<float, kSections> held{};
    for (std::size_t k = 0; k < kSections; ++k) {
        const double octaves = static_cast<double>(k);
        keep[k] = static_cast<float>(std::exp(-kTwoPi * 30 * std::exp2(octaves) / kClipRateHz));
        gain[k] = static_cast<float>(std::exp2(-octaves * slope / 2)) * (1 - keep[k]);
    }
    std::vector<float> out(count);
    for (float& sample : out) {
        const float white = random.white();
        float sum = 0.0F;
        for (std::size_t k = 0; k < kSections; ++k) {
            held[k] = keep[k] * held[k] + gain[k] * white;
            sum += held[k];
        }
        sample = sum;
    }
    Biquad::high_pass(random.between(15, 60), 0.7).run(out);
    return out;
}

// A running sum of harmonics from one wave table, whose pitch wobbles a little.
std::vector<float> hum(std::size_t count, double hz, int harmonics, double wobble, Random& random) {
    constexpr std::size_t kTable = 2048;
    std::vector<float> table(kTable, 0.0F);
    for (int h = 1; h <= harmonics && h * hz < 7000; ++h) {
        const double level = random.between_by_ratio(0.05, 1.0) / std::sqrt(h);
        const double phase = random.between(0, kTwoPi);
        for (std::size_t i = 0; i < kTable; ++i) {
            table[i] +=
                static_cast<float>(level * std::sin(kTwoPi * h * static_cast<double>(i) / kTable + phase));
        }
    }
    std::vector<float> out(count);
    const double wobble_hz = random.between(0.05, 1.5);
    double phase = 0.0;
    double step = hz;
    for (std::size_t i = 0; i < count; ++i) {
        if (i % 64 == 0) {
            const double t = static_cast<double>(i) / kClipRateHz;
            step = hz * (1 + wobble * std::sin(kTwoPi * wobble_hz * t)) / kClipRateHz;
        }
        phase += step;
        phase -= std::floor(phase);
        out[i] = table[static_cast<std::size_t>(phase * kTable) % kTable];
    }
    return out;
}

// Multiplies by a slow swell, and by strokes when stroke_hz > 0.
void swell(std::vector<float>& samples, double depth_db, double stroke_hz, double stroke_depth,
           Random& random) {
    const double slow_hz = random.between(0.02, 0.3);
    const double at = random.between(0, kTwoPi);
    float gain = 1.0F;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        if (i % 32 == 0) {
            const double t = static_cast<double>(i) / kClipRateHz;
            const double slow = std::pow(10.0, depth_db / 20 * std::sin(kTwoPi * slow_hz * t + at));
            const double stroke = 1 + stroke_depth * std::sin(kTwoPi * stroke_hz * t);
            gain = static_cast<float>(slow * stroke);
        }
        samples[i] *= gain;
    }
}

// Runs for a while, rests for a while, with starts and stops of 20 … 400 ms.
void start_and_stop(std::vector<float>& samples, Random& random) {
    const double ramp = random.between(0.02, 0.4) * kClipRateHz;
    double gain = 0.0;
    bool on = random.chance(0.5);
    double left = 0.0;
    for (float& sample : samples) {
        if (left <= 0) {
            on = !on;
            left = random.between(4, 25) * kClipRateHz;
        }
        left -= 1;
        gain = std::clamp(gain + (on ? 1.0 : -1.0) / ramp, 0.0, 1.0);
        sample *= static_cast<float>(gain);
    }
}

std::vector<float> conveyor(std::size_t count, Random& random) {
    std::vector<float> out(count, 0.0F);
    const double every = kClipRateHz / random.between(1.5, 9.0);
    Biquad tone = Biquad::band_pass(random.between_by_ratio(200, 3000), random.between(0.8, 6));
    const auto burst = static_cast<std::size_t>(random.between(0.003, 0.03) * kClipRateHz);
    for (double at = 0; at < static_cast<double>(count); at += every * random.between(0.93, 1.07)) {
        const auto from = static_cast<std::size_t>(at);
        const auto gain = static_cast<float>(random.between(0.4, 1.0));
        for (std::size_t i = from; i < std::min(count, from + burst); ++i) out[i] += gain * random.white();
    }
    tone.run(out);
    return out;
}

// Clips one after another with cross-fades of 0.1 s.
std::vector<float> looped(std::size_t count, std::span<const Clip* const> clips, Random& random) {
    constexpr std::size_t kFade = 1600;
    std::vector<float> out(count, 0.0F);
    const Clip& clip = *clips[random.index(clips.size())];
    if (clip.samples.size() < 3 * kFade) return out;
    const std::size_t length = clip.samples.size();
    for (std::size_t at = 0; at < count; at += length - kFade) {
        for (std::size_t i = 0; i < length && at + i < count; ++i) {
            const auto edge = static_cast<float>(std::min(i, length - 1 - i));
            out[at + i] += clip.samples[i] * std::min(1.0F, edge / static_cast<float>(kFade));
        }
    }
    return out;
}

} // namespace

std::vector<float> plant_bed(std::size_t samples, std::span<const Clip* const> recorded, Random& random) {
    std::vector<float> bed(samples, 0.0F);
    std::vector<float> part = tilted_noise(samples, random);
    swell(part, random.between(0, 2.5), 0, 0, random);
    mix(bed, part, 0);
    for (int fans = random.count(1.2); fans > 0; --fans) {
        part = hum(samples, random.between_by_ratio(18, 140), 1 + static_cast<int>(random.index(10)),
                   random.between(0, 0.004), random);
        mix(bed, part, random.between(-20, 0));
    }
    if (random.chance(0.4)) {
        part = hum(samples, random.chance(0.5) ? 50 : 60, 20, 0, random);
        mix(bed, part, random.between(-25, -6));
    }
    if (random.chance(0.4)) {
        part = tilted_noise(samples, random);
        swell(part, 1, random.between(6, 30), random.between(0.2, 0.9), random);
        if (random.chance(0.6)) start_and_stop(part, random);
        mix(bed, part, random.between(-12, 2));
    }
    if (random.chance(0.3)) {
        part = hum(samples, random.between_by_ratio(90, 1400), 1 + static_cast<int>(random.index(5)),
                   random.between(0, 0.01), random);
        if (random.chance(0.5)) start_and_stop(part, random);
        mix(bed, part, random.between(-25, -6));
    }
    if (random.chance(0.4)) {
        for (float& sample : part) sample = random.white();
        Biquad::high_pass(random.between(1500, 5000), 0.7).run(part);
        swell(part, random.between(0, 4), 0, 0, random);
        mix(bed, part, random.between(-18, 0));
    }
    if (random.chance(0.4)) mix(bed, conveyor(samples, random), random.between(-18, -2));
    if (random.chance(0.25)) {
        std::fill(part.begin(), part.end(), 0.0F);
        const double every = random.between(0.2, 1.5);
        for (double at_s = 0.1; at_s < static_cast<double>(samples) / kClipRateHz;
             at_s += every * random.between(0.6, 1.4)) {
            const std::vector<float> drip = synthetic_drips(random);
            const auto from = static_cast<std::size_t>(at_s * kClipRateHz);
            for (std::size_t i = 0; i < drip.size() && from + i < samples; ++i) part[from + i] += drip[i];
        }
        mix(bed, part, random.between(-20, -6));
    }
    if (!recorded.empty()) {
        for (int beds = random.count(0.8); beds > 0; --beds) {
            mix(bed, looped(samples, recorded, random), random.between(-10, 4));
        }
    }
    const auto down = static_cast<float>(1.0 / std::max(1e-9, rms_of(bed.data(), bed.size())));
    for (float& sample : bed) sample *= down;
    return bed;
}

} // namespace quietpass::tuning
