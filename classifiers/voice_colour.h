// The colour of a voice: how its harmonics lie over the octaves, and how that changes while it lasts.
//
// add() takes the frames of the voice in order; write() then sets the measures of colour. Fixed size,
// allocates nothing.
#pragma once

#include <array>
#include <cstddef>
#include <span>

#include "classifiers/measures.h"

namespace quietpass {

class VoiceColour {
  public:
    explicit VoiceColour(std::size_t frames) : frames_(frames) {}

    // excess, peaks: [dsp::kBins] as VoiceTracker has them. The mean excess at the harmonics, log2.
    float add(float f0_hz, std::span<const float> excess, std::span<const float> peaks) noexcept;

    void write(MeasureRow& row) const noexcept;

  private:
    static constexpr std::size_t kBands = 6; // octaves, the first up to 250 Hz
    using Bands = std::array<float, kBands>;

    void add_course(const Bands& sum, const Bands& count) noexcept;

    std::size_t frames_;    // of the whole voice
    std::size_t added_ = 0; // so far
    Bands level_{}, contrast_{}, taken_{};
    Bands before_{};
    Bands early_{}, early_taken_{}; // first third
    Bands late_{}, late_taken_{};   // last third
    float changes_ = 0.0F;
    float standing_ = 0.0F;
    float highest_hz_ = 0.0F;
    float strongest_hz_ = 0.0F;
    float odd_ = 0.0F;
    float even_ = 0.0F;
};

} // namespace quietpass
