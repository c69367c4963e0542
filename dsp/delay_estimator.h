// How much later one microphone hears a sound than another: generalised cross-correlation with phase
// transform (C. H. Knapp, G. C. Carter, IEEE Trans. ASSP 24 (1976) 320), over the whole sound.
//
// Each frame's cross spectrum is reduced to its phase, bin by bin, within a band; the frames' sum is
// transformed back, four times finer than the samples. A sound of many frames whose pitch moves gives one
// peak; a steady pitch gives one every period, so look at the rivals too. Heights are shares of full
// agreement: 1 when one channel is the other, delayed; noise gives about spread().
//
// Delays in seconds, positive when the second channel hears later. rate_hz above 0; 0 ≤ low_hz < high_hz ≤
// rate_hz / 2; longest_s above 0, at most longest_possible_s(rate_hz); else std::invalid_argument. Allocates
// in the constructor only. Not thread-safe.
#pragma once

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

#include "dsp/real_fft.h"

namespace quietpass::dsp {

class DelayEstimator {
  public:
    static constexpr std::size_t kFrame = 4096; // samples: 256 ms at 16 kHz, under a Hann window
    static constexpr std::size_t kStep = 1024;  // from one frame to the next
    static constexpr std::size_t kFiner = 4;    // steps of the correlation a sample
    static constexpr std::size_t kBins = kFrame / 2 + 1;

    struct Peak {
        double delay_s = 0.0;
        double height = 0.0; // −1 … 1
    };

    DelayEstimator(double rate_hz, double low_hz, double high_hz, double longest_s);

    // An eighth of a frame: the rest shows what noise does.
    static double longest_possible_s(double rate_hz) { return static_cast<double>(kFrame) / 8.0 / rate_hz; }

    // Frames of a stretch of this many samples: whole ones, at least one.
    static constexpr std::size_t frames_of(std::size_t samples) {
        return samples < kFrame ? 1 : 1 + (samples - kFrame) / kStep;
    }

    // The same stretch of both channels, of one length; shorter ones than a frame are filled up with silence.
    // weights, 0 … 1, such as how far the sound stands out there: [frames_of(samples)][kBins], or [kBins] for
    // all frames; empty: all alike.
    void process(std::span<const float> first, std::span<const float> second,
                 std::span<const float> weights = {}) noexcept;

    // The highest point of the correlation between these delays (cut to ±longest_s), to a fraction of a step.
    Peak strongest(double from_s, double to_s) const noexcept;

    // RMS of the correlation at delays longer than any that can be: what a peak has to stand out from.
    double spread() const noexcept { return spread_; }

  private:
    void add_frame(std::span<const float> first, std::span<const float> second,
                   std::span<const float> weights) noexcept;
    double at(long step) const noexcept; // of the correlation, wrapped

    double rate_hz_;
    double longest_s_;
    std::size_t low_bin_;
    std::size_t high_bin_; // inclusive
    RealFft frame_fft_;
    RealFft fine_fft_;
    std::vector<float> window_;
    std::vector<float> windowed_;
    std::vector<std::complex<float>> first_;
    std::vector<std::complex<float>> second_;
    std::vector<std::complex<float>> cross_; // of the fine transform's bins; the upper ones stay 0
    std::vector<float> correlation_;
    double weight_ = 0.0; // of all that was added
    double spread_ = 0.0;
};

} // namespace quietpass::dsp
