// How an envelope of up to kMaxPoints points sways: the share of its fluctuation that lies between two
// modulation rates. Speech sways at 3–6 Hz, a bleat trembles at 6–12 Hz (common practice).
//
// in: envelope ≥ 0 (linear or dB, the caller's choice), one point a frame. The mean is taken out and a Hann
// window laid over the points. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "dsp/analysis.h"
#include "dsp/real_fft.h"

namespace quietpass::dsp {

class ModulationSpectrum {
  public:
    static constexpr std::size_t kMaxPoints = 512;
    static constexpr std::size_t kMinPoints = 8;

    explicit ModulationSpectrum(double frame_rate_hz = kFrameRateHz);

    // The first kMaxPoints are used; fewer than kMinPoints give 0 everywhere.
    void process(std::span<const float> envelope) noexcept;

    // Share (0 … 1) of the fluctuation power above 1 Hz that lies within low_hz ≤ rate < high_hz.
    double share(double low_hz, double high_hz) const noexcept;

    // Standard deviation of the envelope over its mean; 0 for a mean of 0.
    double depth() const noexcept { return depth_; }

    // The rate of the strongest fluctuation above 1 Hz; 0 when there is none.
    double strongest_hz() const noexcept;

  private:
    RealFft fft_;
    double rate_hz_;
    std::vector<float> padded_;
    std::vector<std::complex<float>> spectrum_;
    std::vector<float> power_;
    double depth_ = 0.0;
};

} // namespace quietpass::dsp
