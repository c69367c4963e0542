// How far the species' band stands over the floor, by half-octave bands so that a call in one place of the
// spectrum is not lost in the sum.
//
// excess_db(): mean of the two highest bands' levels over the floor, smoothed over 5 frames (80 ms) and
// lowered by 4 dB / √bins, about what plain noise sways by itself in a band of so many bins. It belongs to
// the frame kDelay before the latest. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <vector>

#include "dsp/spectral_measures.h"

namespace quietpass {

class LevelDetector {
  public:
    static constexpr std::size_t kSmooth = 5;
    static constexpr std::size_t kDelay = kSmooth / 2;

    // 30 <= low_hz, 2·low_hz <= high_hz <= 8000, else std::invalid_argument.
    LevelDetector(double low_hz, double high_hz);

    // power, floor: [dsp::kBins].
    void process(std::span<const float> power, std::span<const float> floor) noexcept;

    float excess_db() const noexcept { return excess_db_; }

    void reset() noexcept;

  private:
    std::vector<dsp::BinRange> bands_;
    std::size_t stride_ = 0;        // bands, rounded up to 4
    std::vector<float> allowances_; // [stride] factor for what plain noise does by itself
    std::vector<float> heard_;      // [stride]
    std::vector<float> steady_;     // [stride]
    std::vector<float> ratios_;     // [kSmooth][stride]
    std::size_t frame_ = 0;
    float excess_db_ = 0.0F;
};

} // namespace quietpass
