// Second-order sections in double precision, transposed direct form II, and the band in which signal-to-noise
// ratios of a scenario are meant. Coefficients: R. Bristow-Johnson, "Audio EQ cookbook".
#pragma once

#include <array>
#include <span>

namespace quietpass::scenario {

class Biquad {
  public:
    static Biquad low_pass(double rate_hz, double hz, double q);
    static Biquad high_pass(double rate_hz, double hz, double q);
    static Biquad peak(double rate_hz, double hz, double q, double gain_db);
    // Rings at hz and falls by 60 dB in decay_s after an impulse.
    static Biquad ring(double rate_hz, double hz, double decay_s);

    double process(double x) noexcept {
        const double y = b0_ * x + z1_;
        z1_ = b1_ * x - a1_ * y + z2_;
        z2_ = b2_ * x - a2_ * y;
        return y;
    }

  private:
    double b0_ = 1.0, b1_ = 0.0, b2_ = 0.0, a1_ = 0.0, a2_ = 0.0;
    double z1_ = 0.0, z2_ = 0.0;
};

// Butterworth, fourth order at each edge: -3 dB at low_hz and high_hz, 24 dB an octave beyond.
class BandFilter {
  public:
    BandFilter(double rate_hz, double low_hz, double high_hz);

    double process(double x) noexcept {
        for (Biquad& section : sections_) x = section.process(x);
        return x;
    }

    // Sum of squares of the filtered samples.
    double energy(std::span<const float> samples) noexcept;

  private:
    std::array<Biquad, 4> sections_;
};

} // namespace quietpass::scenario
