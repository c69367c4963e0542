#include <algorithm>
#include <cmath>
#include <numbers>

#include "classifiers/tuning/biquad.h"
#include "classifiers/tuning/plant_noise.h"

namespace quietpass::tuning {
namespace {

std::vector<float> silence(double length_s) {
    return std::vector<float>(static_cast<std::size_t>(length_s * kClipRateHz), 0.0F);
}

// A decaying sine, by the recurrence of a two-pole resonator.
void ring(std::vector<float>& out, std::size_t from, double hz, double level, double decay_s) {
    const double w = kTwoPi * hz / kClipRateHz;
    const double r = std::exp(-6.91 / (decay_s * kClipRateHz));
    double a = 0.0;
    double b = level * std::sin(w);
    for (std::size_t i = from; i < out.size(); ++i) {
        out[i] += static_cast<float>(b);
        const double next = 2 * r * std::cos(w) * b - r * r * a;
        a = b;
        b = next;
    }
}

void burst(std::vector<float>& out, std::size_t from, double level, double decay_s, Random& random) {
    const auto fall = static_cast<float>(std::exp(-6.91 / (decay_s * kClipRateHz)));
    auto gain = static_cast<float>(level);
    for (std::size_t i = from; i < out.size() && gain > 1e-4F; ++i, gain *= fall)
        out[i] += gain * random.white();
}

} // namespace

std::vector<float> synthetic_bang(Random& random) {
    std::vector<float> out = silence(random.between(0.4, 1.6));
    Biquad body = Biquad::low_pass(random.between_by_ratio(400, 7000), 0.7);
    const int hits = 1 + random.count(0.5);
    std::size_t at = 0;
    for (int hit = 0; hit < hits && at < out.size(); ++hit) {
        burst(out, at, random.between(0.5, 1), random.between_by_ratio(0.03, 0.4), random);
        at += static_cast<std::size_t>(random.between(0.05, 0.3) * kClipRateHz);
    }
    body.run(out);
    const double base = random.between_by_ratio(90, 1500);
    const double decay_s = random.between_by_ratio(0.08, 1.5);
    for (int mode = 1 + static_cast<int>(random.index(8)); mode > 0; --mode) {
        const double hz = base * random.between_by_ratio(1, 8);
        if (hz < 7500)
            ring(out, 0, hz, random.between_by_ratio(0.02, 0.6), decay_s * random.between(0.3, 1.0));
    }
    return out;
}

std::vector<float> synthetic_air(Random& random) {
    std::vector<float> out = silence(random.between_by_ratio(0.15, 2.5));
    const double rise = random.between(0.005, 0.15) * kClipRateHz;
    const double fall = random.between(0.03, 0.6) * kClipRateHz;
    const auto size = static_cast<double>(out.size());
    for (std::size_t i = 0; i < out.size(); ++i) {
        const auto at = static_cast<double>(i);
        const double gain = std::min({1.0, at / rise, (size - at) / fall});
        out[i] = random.white() * static_cast<float>(gain);
    }
    Biquad::high_pass(random.between_by_ratio(200, 4000), 0.7).run(out);
    if (random.chance(0.4)) Biquad::low_pass(random.between_by_ratio(3000, 7500), 0.9).run(out);
    if (random.chance(0.2)) {
        Biquad whistle = Biquad::band_pass(random.between_by_ratio(600, 4000), random.between(5, 30));
        for (float& sample : out) sample += 6 * whistle.next(sample);
    }
    return out;
}

std::vector<float> synthetic_shot(Random& random) {
    std::vector<float> out = silence(0.5);
    burst(out, 0, 1, random.between_by_ratio(0.02, 0.15), random);
    burst(out, static_cast<std::size_t>(random.between(0.02, 0.12) * kClipRateHz), random.between(0.1, 0.6),
          0.08, random);
    ring(out, 0, random.between(60, 300), random.between(0.2, 1), random.between(0.05, 0.25));
    return out;
}

std::vector<float> synthetic_whine(Random& random) {
    std::vector<float> out = silence(random.between_by_ratio(0.4, 6));
    const double from = random.between_by_ratio(80, 2500);
    const double to = from * random.between_by_ratio(0.4, 2.5);
    const double glide_s = random.between(0.2, 1.0) * static_cast<double>(out.size()) / kClipRateHz;
    const int harmonics = 1 + static_cast<int>(random.index(8));
    const double tilt = random.between(0.3, 1.5);
    const bool both_ways = random.chance(0.4);
    const double noise = random.between(0, 0.3);
    double phase = 0.0;
    const auto size = static_cast<double>(out.size());
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double at = static_cast<double>(i);
        double way = std::min(1.0, at / kClipRateHz / glide_s);
        if (both_ways) way = std::sin(std::numbers::pi * at / size);
        phase += from * std::pow(to / from, way) / kClipRateHz;
        phase -= std::floor(phase);
        double sum = 0.0;
        for (int h = 1; h <= harmonics; ++h) sum += std::sin(kTwoPi * h * phase) / std::pow(h, tilt);
        const double gain = std::min({1.0, at / 1600, (size - at) / 1600});
        out[i] = static_cast<float>(gain * (sum + noise * static_cast<double>(random.white())));
    }
    return out;
}

std::vector<float> synthetic_beep(Random& random) {
    std::vector<float> out = silence(random.between(0.3, 4));
    const double hz = random.between_by_ratio(250, 3200);
    const bool pulsed = random.chance(0.6);
    const double on = random.between(0.1, 0.6) * kClipRateHz;
    const double odd = random.between(0, 0.4);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i);
        const double in_period = std::fmod(t, 2 * on);
        const double gain = pulsed ? std::clamp(std::min(in_period, on - in_period) / 80, 0.0, 1.0)
                                   : std::min({1.0, t / 200, (static_cast<double>(out.size()) - t) / 200});
        const double w = kTwoPi * hz * t / kClipRateHz;
        out[i] = static_cast<float>(gain * (std::sin(w) + odd * std::sin(3 * w)));
    }
    return out;
}

std::vector<float> synthetic_drips(Random& random) {
    std::vector<float> out = silence(0.15);
    const double hz = random.between_by_ratio(500, 4500);
    ring(out, 0, hz, 1, random.between(0.02, 0.12));
    if (random.chance(0.5))
        ring(out, static_cast<std::size_t>(random.between(100, 900)), hz * random.between(1.1, 1.9), 0.7,
             0.05);
    return out;
}

} // namespace quietpass::tuning
