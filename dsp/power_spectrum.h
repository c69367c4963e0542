// Windowed power spectrum of one frame.
//
// in: [size] samples, full scale ±1. out: [size/2 + 1] powers. Scale: a sine of amplitude 1 (full scale) that
// falls on a bin reads 1.0 = 0 dB in that bin. A sound's whole power on the same scale is the sum of its bins
// divided by noise_bandwidth_bins() (1.5 for the Hann window used here). Allocates in the constructor only.
// Not thread-safe.
#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "dsp/analysis.h"
#include "dsp/real_fft.h"

namespace quietpass::dsp {

class PowerSpectrum {
  public:
    explicit PowerSpectrum(std::size_t size = kFrameSize);

    std::size_t size() const noexcept { return window_.size(); }
    std::size_t bins() const noexcept { return spectrum_.size(); }
    double noise_bandwidth_bins() const noexcept { return noise_bandwidth_bins_; }

    void process(std::span<const float> frame, std::span<float> power) noexcept;

  private:
    RealFft fft_;
    std::vector<float> window_; // already scaled to the 0 dB convention
    std::vector<float> windowed_;
    std::vector<std::complex<float>> spectrum_;
    double noise_bandwidth_bins_;
};

} // namespace quietpass::dsp
