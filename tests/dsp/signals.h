// Test signals: sines, harmonic sounds and noise, the same on every machine (own generator, no library's
// distributions).
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

namespace quietpass::signals {

inline std::vector<float> sine(double frequency_hz, double rate_hz, std::size_t count,
                               double amplitude = 1.0) {
    std::vector<float> out(count);
    for (std::size_t n = 0; n < count; ++n) {
        out[n] = static_cast<float>(
            amplitude * std::sin(2.0 * std::numbers::pi * frequency_hz * static_cast<double>(n) / rate_hz));
    }
    return out;
}

// Near-Gaussian white noise of standard deviation 1: sums of twelve uniform numbers.
class Noise {
  public:
    explicit Noise(std::uint32_t seed) : state_(seed) {}
    double next() {
        double sum = -6.0;
        for (int n = 0; n < 12; ++n) {
            state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
            sum += static_cast<double>(state_ >> 40) / 16777216.0;
        }
        return sum;
    }

  private:
    std::uint64_t state_;
};

inline std::vector<float> noise(std::size_t count, double deviation, std::uint32_t seed = 1) {
    Noise source(seed);
    std::vector<float> out(count);
    for (float& sample : out) sample = static_cast<float>(deviation * source.next());
    return out;
}

// Harmonics 1/h up to 7.5 kHz at 16 kHz; f0 swings by `swing` (a share) 1.5 times a second.
inline std::vector<float> call(double f0_hz, std::size_t count, double amplitude, double swing = 0.0) {
    std::vector<float> out(count);
    double phase = 0.0;
    for (std::size_t n = 0; n < count; ++n) {
        const double t = static_cast<double>(n) / 16000.0;
        const double f0 = f0_hz * (1.0 + swing * std::sin(2.0 * std::numbers::pi * 1.5 * t));
        phase += 2.0 * std::numbers::pi * f0 / 16000.0;
        double sum = 0.0;
        for (int h = 1; h * f0 < 7500.0; ++h) sum += std::sin(h * phase + h * h) / h;
        out[n] = static_cast<float>(amplitude * sum);
    }
    return out;
}

inline double mean_square(const std::vector<float>& samples) {
    double sum = 0.0;
    for (const float sample : samples) sum += static_cast<double>(sample) * static_cast<double>(sample);
    return sum / static_cast<double>(samples.size());
}

} // namespace quietpass::signals
