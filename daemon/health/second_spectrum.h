// Band levels of the start of each second of raw-rate audio, for a microphone's health.
//
// in: the samples of a second from its first, full scale ±1, in any blocks; out: the band levels of
// SecondFigures. One frame of the greatest power of two that fits into a fifth of a second (8,192 samples,
// 5.9 Hz apart, at 48 kHz): fine enough to tell mains lines 50 Hz apart, and one transform a second.
//
// Pure; noexcept and without allocation after construction. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "daemon/health/second_figures.h"
#include "dsp/power_spectrum.h"

namespace quietpass {

class SecondSpectrum {
  public:
    explicit SecondSpectrum(double sample_rate_hz);

    // What the frame has no room for is passed by.
    void take(std::span<const float> samples) noexcept;
    // Fills in the band levels of the second that ends here and begins the next; false when there were too
    // few samples.
    bool end_second(SecondFigures& figures) noexcept;
    void clear() noexcept { filled_ = 0; }

  private:
    struct Lines {
        double power = 0.0;
        int standing = 0;
    };
    Lines lines_of(double mains_hz) const noexcept;
    double power_of(double low_hz, double high_hz) const noexcept;

    double rate_hz_;
    dsp::PowerSpectrum spectrum_;
    std::vector<float> frame_;
    std::size_t filled_ = 0;
    std::vector<float> power_;
};

} // namespace quietpass
