// One frame seen against its floor, and how far narrow peaks stand out of their surroundings.
//
// excess[k] = log2(1 + power/floor): 0 when there is nothing, one more for each 3 dB. peaks[k] = excess less
// its mean over the 17 bins around, never below 0: broadband sound (bangs, air) cancels, harmonics stay.
// Fixed size, allocates nothing.
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "dsp/analysis.h"

namespace quietpass {

class WhitenedFrame {
  public:
    // power, floor: [dsp::kBins].
    void process(std::span<const float> power, std::span<const float> floor) noexcept;

    const std::array<float, dsp::kBins>& excess() const noexcept { return excess_; }
    const std::array<float, dsp::kBins>& peaks() const noexcept { return peaks_; }

  private:
    std::array<float, dsp::kBins> excess_{};
    std::array<float, dsp::kBins> peaks_{};
};

} // namespace quietpass
