// Microphones in a made plant, whole and broken, for the tests of their health: mono, full scale ±1.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <random>
#include <vector>

namespace quietpass::testing {

using Samples = std::vector<float>;

// A second-order low-pass (Butterworth, bilinear).
class LowPass {
  public:
    LowPass(double cut_hz, double rate_hz) {
        const double w = std::tan(std::numbers::pi * cut_hz / rate_hz);
        const double scale = 1.0 + std::numbers::sqrt2 * w + w * w;
        gain_ = w * w / scale;
        a1_ = 2.0 * (w * w - 1.0) / scale;
        a2_ = (1.0 - std::numbers::sqrt2 * w + w * w) / scale;
    }
    double process(double x) {
        const double y = gain_ * x + s1_;
        s1_ = 2.0 * gain_ * x - a1_ * y + s2_;
        s2_ = gain_ * x - a2_ * y;
        return y;
    }

  private:
    double gain_, a1_, a2_;
    double s1_ = 0.0, s2_ = 0.0;
};

enum class Trouble {
    kNone,
    kDead,    // the capsule or its wire: an offset and the converter's own noise
    kClipped, // the gain turned up until most of the samples stand at full scale
    kCovered,
    kFilm, // of water over the mesh: duller than a cover, and softer
    kWind,
    kDrops, // a spray that hits the capsule some twelve times a second
    kHum50,
    kHum60,
    kGainDown,
    kGainUp
};

// What the trouble does to a good microphone's samples from `from` to `to`. The levels suit a background at
// about −38 dB re full scale.
inline void spoil(Samples& samples, std::size_t from, std::size_t to, double rate_hz, Trouble trouble) {
    std::mt19937 random(11);
    std::normal_distribution<double> normal;
    LowPass cover1(1000.0, rate_hz);
    LowPass cover2(1000.0, rate_hz);
    // Turbulence falls by about 7 dB an octave and comes in gusts (from memory).
    LowPass turbulence(20.0, rate_hz);
    double gust = 0.0;
    LowPass film1(600.0, rate_hz);
    LowPass film2(600.0, rate_hz);
    std::uniform_real_distribution<double> chance;
    double thump = 0.0; // of the drop before, its strength now
    double since_drop_s = 0.0;
    const auto hum = [](double mains_hz, double t) {
        double value = 0.0;
        for (int line = 1; line <= 15; ++line) {
            value += 0.15 / line * std::sin(2.0 * std::numbers::pi * mains_hz * line * t + line);
        }
        return value;
    };
    for (std::size_t i = from; i < std::min(to, samples.size()); ++i) {
        const double t = static_cast<double>(i) / rate_hz;
        double value = samples[i];
        switch (trouble) {
            case Trouble::kNone:
                break;
            case Trouble::kDead:
                value = 0.01 + 1e-5 * normal(random);
                break;
            case Trouble::kClipped:
                value *= 400.0;
                break;
            case Trouble::kFilm:
                value = 0.6 * film2.process(film1.process(value));
                break;
            case Trouble::kCovered:
                value = cover2.process(cover1.process(value));
                break;
            case Trouble::kWind:
                gust += normal(random) * std::sqrt(1.0 / rate_hz) - gust / rate_hz;
                value += 0.12 * std::exp(0.5 * gust) * std::sqrt(rate_hz / 60.0) *
                         turbulence.process(normal(random));
                break;
            case Trouble::kDrops:
                // A membrane struck by a drop thuds below 50 Hz and dies away within a tenth of a second,
                // with a click of a few milliseconds (from memory).
                since_drop_s += 1.0 / rate_hz;
                if (chance(random) < 12.0 / rate_hz) {
                    thump = 0.15 + 0.25 * chance(random);
                    since_drop_s = 0.0;
                }
                value += thump * std::exp(-since_drop_s / 0.04) *
                         std::sin(2.0 * std::numbers::pi * 35.0 * since_drop_s);
                value += 0.1 * thump * std::exp(-since_drop_s / 0.003) * normal(random);
                break;
            case Trouble::kHum50:
                value += hum(50.02, t); // mains is never quite on its frequency
                break;
            case Trouble::kHum60:
                value += hum(59.98, t);
                break;
            case Trouble::kGainDown:
                value *= 0.1;
                break;
            case Trouble::kGainUp:
                value *= 7.0;
                break;
        }
        samples[i] = static_cast<float>(std::clamp(value, -1.0, 1.0));
    }
}

inline void spoil(Samples& samples, std::size_t from, double rate_hz, Trouble trouble) {
    spoil(samples, from, samples.size(), rate_hz, trouble);
}

// Fans, a compressor's hum at 120 Hz that comes and goes, hiss, a bang every ten seconds and a call-like tone
// now and then.
inline Samples plant(double rate_hz, double seconds) {
    std::mt19937 random(5);
    std::normal_distribution<double> normal;
    Samples samples(static_cast<std::size_t>(seconds * rate_hz));
    LowPass rumble(150.0, rate_hz);
    double bang = 0.0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double t = static_cast<double>(i) / rate_hz;
        const bool compressor = std::fmod(t, 130.0) < 80.0;
        if (i % static_cast<std::size_t>(10.0 * rate_hz) == 0) bang = 0.3;
        bang *= 1.0 - 8.0 / rate_hz;
        const double noise = normal(random);
        double value = 0.003 * noise + 0.03 * rumble.process(noise) + bang * normal(random) +
                       (compressor ? 0.004 * std::sin(2.0 * std::numbers::pi * 120.0 * t) : 0.0);
        if (std::fmod(t, 45.0) < 1.5) value += 0.05 * std::sin(2.0 * std::numbers::pi * 300.0 * t);
        samples[i] = static_cast<float>(std::clamp(value, -1.0, 1.0));
    }
    return samples;
}

} // namespace quietpass::testing
