#include "classifiers/tuning/room.h"

#include <algorithm>
#include <cmath>

#include "classifiers/tuning/biquad.h"

namespace quietpass::tuning {

std::vector<float> in_room(const std::vector<float>& dry, double decay_s, double direct_db, Random& random) {
    constexpr double kPulsesPerSecond = 600.0;
    constexpr double kTailDb = 36.0; // what lies deeper is under any plant's background
    const auto tail = static_cast<std::size_t>(decay_s * kTailDb / 60.0 * kClipRateHz);
    std::vector<float> wet(dry.size() + tail, 0.0F);

    struct Pulse {
        std::size_t at;
        float gain;
    };
    std::vector<Pulse> pulses;
    double energy = 0.0;
    const double step = kClipRateHz / kPulsesPerSecond;
    const double first = random.between(0.002, 0.015) * kClipRateHz;
    for (double at = first; at + step < static_cast<double>(tail); at += step) {
        const double place = at + random.between(0, step);
        const double gain =
            std::pow(10.0, -3.0 * place / kClipRateHz / decay_s) * (random.chance(0.5) ? 1 : -1);
        energy += gain * gain;
        pulses.push_back({static_cast<std::size_t>(place), static_cast<float>(gain)});
    }
    const double tail_gain = energy > 0 ? std::sqrt(std::pow(10.0, -direct_db / 10.0) / energy) : 0.0;
    for (const Pulse& pulse : pulses) {
        const float gain = pulse.gain * static_cast<float>(tail_gain);
        float* out = wet.data() + pulse.at;
        for (std::size_t i = 0; i < dry.size(); ++i) out[i] += gain * dry[i];
    }
    // Walls and air take the high end first.
    Biquad dull = Biquad::low_pass(random.between_by_ratio(2500, 7500), 0.6);
    dull.run(wet);
    for (std::size_t i = 0; i < dry.size(); ++i) wet[i] += dry[i];
    return wet;
}

std::vector<float> at_speed(const std::vector<float>& samples, double ratio) {
    const auto length = static_cast<std::size_t>(static_cast<double>(samples.size()) / ratio);
    std::vector<float> out(length, 0.0F);
    for (std::size_t i = 0; i < length; ++i) {
        const double place = static_cast<double>(i) * ratio;
        const auto at = static_cast<std::ptrdiff_t>(place);
        const auto t = static_cast<float>(place - static_cast<double>(at));
        const auto sample = [&](std::ptrdiff_t k) {
            return samples[static_cast<std::size_t>(
                std::clamp<std::ptrdiff_t>(k, 0, static_cast<std::ptrdiff_t>(samples.size()) - 1))];
        };
        const float a = sample(at - 1);
        const float b = sample(at);
        const float c = sample(at + 1);
        const float d = sample(at + 2);
        out[i] = b + 0.5F * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)));
    }
    return out;
}

void coloured(std::vector<float>& samples, Random& random) {
    // A hump is the sound and more of a band of it, a dip the sound and less of it.
    std::vector<float> band = samples;
    Biquad::band_pass(random.between_by_ratio(120, 5000), random.between(0.5, 2)).run(band);
    const auto more = static_cast<float>(random.between(-0.75, 1.8));
    std::vector<float> low = samples;
    Biquad::low_pass(random.between_by_ratio(300, 3000), 0.6).run(low);
    const auto tilt = static_cast<float>(random.between(-0.6, 1.2));
    for (std::size_t i = 0; i < samples.size(); ++i) samples[i] += more * band[i] + tilt * low[i];
}

void from_afar(std::vector<float>& samples, double low_pass_hz) {
    Biquad::low_pass(low_pass_hz, 0.6).run(samples);
}

void clipped_at(std::vector<float>& samples, double share) {
    float top = 0.0F;
    for (const float sample : samples) top = std::max(top, std::abs(sample));
    const float limit = top * static_cast<float>(share);
    for (float& sample : samples) sample = std::clamp(sample, -limit, limit);
}

double rms_of(const float* samples, std::size_t count) {
    double sum = 0.0;
    for (std::size_t i = 0; i < count; ++i)
        sum += static_cast<double>(samples[i]) * static_cast<double>(samples[i]);
    return count > 0 ? std::sqrt(sum / static_cast<double>(count)) : 0.0;
}

} // namespace quietpass::tuning
