// Finds tones and harmonic series over time: a track-before-detect on the pitch axis.
//
// Each frame gives each f0 on a grid of 48 an octave its salience: the peaks at its harmonics (weight falling
// by 0.85 each) less 0.7 of those half-way between them, in units of 3 dB. A leaky sum follows the best path
// of ±2 steps a frame, so that a weak steady voice beats strong noise. Allocates in the constructor only. Not
// thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "classifiers/whitened_frame.h"

namespace quietpass {

class ToneDetector {
  public:
    // 50 <= f0_low_hz < f0_high_hz <= 2600, else std::invalid_argument.
    ToneDetector(double f0_low_hz, double f0_high_hz);

    void process(const WhitenedFrame& frame) noexcept;

    float track() const noexcept { return track_; } // strength of the best path up to now
    // Mean salience of the last three frames near the path, at most track(): it ends with the tone, where
    // track() fades.
    float activity() const noexcept { return activity_; }
    float f0_hz() const noexcept { return frequencies_[best_]; }
    std::size_t step() const noexcept { return best_; } // grid number of f0_hz(): 48 an octave

    void reset() noexcept;

  private:
    void sum_up(const WhitenedFrame& frame) noexcept;
    void follow() noexcept;

    // Steps go four by four, the last group padded. All steps have the same taps at their own bins; a
    // harmonic beyond the highest points at a bin that is always 0.
    using Bins = std::array<std::uint16_t, 4>;
    std::vector<float> frequencies_;          // [steps]
    std::vector<float> weights_;              // [taps]
    std::vector<Bins> bins_;                  // of group 0's taps, then group 1's …
    std::vector<std::uint32_t> group_begins_; // [groups + 1] into bins_
    std::vector<float> now_;                  // [4 · groups] salience of this frame
    std::vector<float> paths_;                // [4 · groups + 4], two of padding at each end
    std::vector<float> next_;
    std::size_t best_ = 0;
    float track_ = 0.0F;
    std::array<float, 3> recent_{}; // salience of the last frames near the path
    std::size_t frame_ = 0;
    float activity_ = 0.0F;
};

} // namespace quietpass
