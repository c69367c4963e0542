// Frequency weightings A, C and Z of IEC 61672-1: as a curve, and as a filter at any usual rate.
//
// The filter: low poles by the bilinear transform, the double pole at 12,194 Hz by a second-order section
// matched to the analogue magnitude (method after Vicanek, "Matched Second Order Digital Filters", 2016),
// since the bilinear transform alone is 0.5 dB off at 8 kHz for 48 kHz audio. Within ±0.15 dB of the curve
// from 10 Hz up to 20 kHz or 0.45 of the sample rate, at 8 … 192 kHz. Allocates nothing after construction.
// Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <span>

namespace quietpass::dsp {

enum class Weighting { kA, kC, kZ };

// Gain of the weighting at a frequency > 0, dB: the closed form of IEC 61672-1 Annex E. 0 dB at 1 kHz.
double weighting_db(Weighting weighting, double frequency_hz);

class WeightingFilter {
  public:
    // rate_hz: 8000 … 192000, else std::invalid_argument.
    WeightingFilter(Weighting weighting, double rate_hz);

    double process(double sample) noexcept;
    void reset() noexcept;

    // The filter's own gain at a frequency, dB (from its coefficients).
    double response_db(double frequency_hz) const;

  private:
    struct Section {
        double b0, b1, b2, a1, a2;
        double s1 = 0.0, s2 = 0.0; // transposed direct form II
    };
    std::array<Section, 3> sections_{};
    std::size_t count_ = 0;
    double rate_hz_;
};

} // namespace quietpass::dsp
