// Made sounds with known properties, for the tests of this folder.
//
// Times in seconds, levels as root mean square re full scale 1. Deterministic.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>
#include <vector>

#include "classifiers/sound_finder.h"

namespace quietpass::testing {

using Samples = std::vector<float>;

// White noise, uniform, from a counter: the same on every machine.
inline Samples noise(double rate_hz, double duration_s, double rms, std::uint32_t seed = 1) {
    Samples out(static_cast<std::size_t>(rate_hz * duration_s));
    for (float& x : out) {
        seed = seed * 1664525U + 1013904223U;
        const double unit = static_cast<double>(seed >> 8U) / 8388608.0 - 1.0;
        x = static_cast<float>(unit * rms * std::numbers::sqrt3);
    }
    return out;
}

// Falls by about 10 dB a decade: a sum of low-passes two octaves apart, each of the same power.
inline Samples pink(double rate_hz, double duration_s, double rms, std::uint32_t seed = 1) {
    Samples out = noise(rate_hz, duration_s, 1.0, seed);
    std::vector<double> corner;
    for (double hz = 10.0; hz < 0.4 * rate_hz; hz *= 4.0) corner.push_back(hz);
    Samples sum(out.size(), 0.0F);
    for (const double hz : corner) {
        const double keep = std::exp(-2.0 * std::numbers::pi * hz / rate_hz);
        const double gain = std::sqrt((1.0 - keep) * (1.0 + keep));
        double state = 0.0;
        for (std::size_t i = 0; i < out.size(); ++i) {
            state = keep * state + gain * static_cast<double>(out[i]);
            sum[i] += static_cast<float>(state);
        }
    }
    double power = 0.0;
    for (const float x : sum) power += static_cast<double>(x) * x;
    const auto scale = static_cast<float>(rms / std::sqrt(power / static_cast<double>(sum.size())));
    for (float& x : sum) x *= scale;
    return sum;
}

// A voice: harmonics falling by 6 dB an octave up to 4 kHz, pitch f0_hz(x) and level envelope(x) for x from 0
// to 1.
inline Samples voice(
    double rate_hz, double duration_s, double rms, const std::function<double(double)>& f0_hz,
    const std::function<double(double)>& envelope = [](double x) {
        return std::min(1.0, 20.0 * std::min(x, 1.0 - x));
    }) {
    Samples out(static_cast<std::size_t>(rate_hz * duration_s));
    double phase = 0.0;
    double power = 0.0;
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double x = static_cast<double>(i) / static_cast<double>(out.size());
        const double f0 = f0_hz(x);
        phase += 2.0 * std::numbers::pi * f0 / rate_hz;
        double sum = 0.0;
        for (int h = 1; h * f0 < std::min(4000.0, 0.45 * rate_hz); ++h) sum += std::sin(h * phase) / h;
        out[i] = static_cast<float>(sum * envelope(x));
        power += static_cast<double>(out[i]) * out[i];
    }
    const auto scale = static_cast<float>(rms / std::sqrt(power / static_cast<double>(out.size())));
    for (float& x : out) x *= scale;
    return out;
}

inline void add(Samples& into, const Samples& what, double rate_hz, double at_s) {
    const auto first = static_cast<std::size_t>(std::lround(at_s * rate_hz));
    for (std::size_t i = 0; i < what.size() && first + i < into.size(); ++i) into[first + i] += what[i];
}

inline std::vector<Sound> sounds_in(const Samples& samples, double rate_hz, const SegmentSettings& settings,
                                    std::size_t block = 4800) {
    SoundFinder finder(rate_hz, settings);
    std::vector<Sound> found;
    Sound sound;
    for (std::size_t at = 0; at < samples.size(); at += block) {
        finder.process({samples.data() + at, std::min(block, samples.size() - at)});
        while (finder.take(sound)) found.push_back(sound);
    }
    finder.finish();
    while (finder.take(sound)) found.push_back(sound);
    return found;
}

// The share of start_s … end_s that one sound covers, the best of all.
inline double covered(const std::vector<Sound>& sounds, double start_s, double end_s) {
    double best = 0.0;
    for (const Sound& s : sounds) {
        best = std::max(best, (std::min(end_s, s.end_s) - std::max(start_s, s.start_s)) / (end_s - start_s));
    }
    return best;
}

} // namespace quietpass::testing
