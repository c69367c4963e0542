#include "classifiers/tuning/published_calls.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {
namespace {

struct Voice {
    double f0_hz = 0.0;
    double arch = 0.0;         // octaves the middle stands over the ends
    double slope = 0.0;        // octaves from start to end
    double fall_db_oct = 12.0; // of its harmonics
    double wobble = 0.0;       // octaves, at wobble_hz
    double wobble_hz = 5.0;
    double level = 1.0;
};

// Harmonics up to 7 kHz, swelling in and dying away, with breath in step with them.
void add_voice(std::vector<float>& out, const Voice& voice, Random& random) {
    constexpr int kMost = 40;
    // Some throats are as smooth as an instrument.
    const bool smooth = random.chance(0.4);
    std::array<double, kMost + 1> levels{};
    for (int h = 1; h <= kMost; ++h)
        levels[static_cast<std::size_t>(h)] = std::pow(10.0, -voice.fall_db_oct * std::log2(h) / 20) *
                                              (smooth ? 1.0 : random.between_by_ratio(0.5, 2.0));
    const double rise = random.between(0.05, 0.35);
    const double die = random.between(0.05, 0.35);
    const double breath = smooth ? 0.0 : random.between_by_ratio(0.01, 0.2);
    double phase = random.between(0, 1);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double x = static_cast<double>(i) / static_cast<double>(out.size());
        const double time_s = static_cast<double>(i) / kClipRateHz;
        const double octaves = voice.arch * (4 * x * (1 - x) - 0.5) + voice.slope * (x - 0.5) +
                               voice.wobble * std::sin(kTwoPi * voice.wobble_hz * time_s);
        const double hz = voice.f0_hz * std::exp2(octaves);
        phase += hz / kClipRateHz;
        phase -= std::floor(phase);
        // sin(h·p) by recurrence from the two before it.
        const double turn = 2 * std::cos(kTwoPi * phase);
        double before = 0.0;
        double now = std::sin(kTwoPi * phase);
        double sum = 0.0;
        for (int h = 1; h <= kMost && h * hz < 7000; ++h) {
            sum += levels[static_cast<std::size_t>(h)] * now;
            const double next = turn * now - before;
            before = now;
            now = next;
        }
        const double envelope = std::min({1.0, x / rise, (1 - x) / die});
        out[i] +=
            static_cast<float>(voice.level * envelope * (sum + breath * static_cast<double>(random.white())));
    }
}

} // namespace

std::vector<float> published_cattle_call(Random& random) {
    std::vector<float> out(static_cast<std::size_t>(random.between(0.7, 2.2) * kClipRateHz), 0.0F);
    Voice voice;
    voice.arch = random.between(-0.1, 0.6);
    voice.slope = random.between(-0.3, 0.3);
    voice.wobble = random.chance(0.4) ? 0.0 : random.between(0, 0.02);
    voice.wobble_hz = random.between(3, 9);
    voice.fall_db_oct = random.between(4, 18);
    const bool bugle = random.chance(0.5);
    voice.f0_hz = bugle ? random.between(801, 1125) : random.between(72, 95);
    add_voice(out, voice, random);
    if (bugle && random.chance(0.3)) {
        Voice bellow = voice;
        bellow.f0_hz = random.between(70, 113.6);
        bellow.arch = random.between(0, 0.4);
        bellow.level = random.between_by_ratio(0.3, 2.0);
        add_voice(out, bellow, random);
    }
    return out;
}

} // namespace quietpass::tuning
