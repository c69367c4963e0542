// The last seconds of analysis frames: powers and floor of each bin, and the energy of the frame's four
// middle quarters of a hop. Sounds are measured from here after they have ended.
//
// Frames are numbered from 0 since construction or clear(); the last `capacity` are kept. Allocates in the
// constructor only. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "dsp/analysis.h"

namespace quietpass {

using FrameIndex = std::int64_t;

// Mean squares of four stretches of 64 samples (4 ms) in the middle of a frame.
using Quarters = std::array<float, 4>;

class FrameHistory {
  public:
    explicit FrameHistory(std::size_t capacity);

    // Room for frame number count(); fill power, floor and quarters, then push().
    std::span<float> next_power() noexcept { return slot(powers_, count_); }
    std::span<float> next_floor() noexcept { return slot(floors_, count_); }
    Quarters& next_quarters() noexcept { return quarters_[place(count_)]; }
    void push() noexcept { ++count_; }

    FrameIndex count() const noexcept { return count_; }
    FrameIndex oldest() const noexcept;

    // oldest() <= frame < count().
    std::span<const float> power(FrameIndex frame) const noexcept {
        return {powers_.data() + place(frame) * dsp::kBins, dsp::kBins};
    }
    std::span<const float> floor(FrameIndex frame) const noexcept {
        return {floors_.data() + place(frame) * dsp::kBins, dsp::kBins};
    }
    const Quarters& quarters(FrameIndex frame) const noexcept { return quarters_[place(frame)]; }

    // floor: [dsp::kBins].
    void replace_floor(FrameIndex frame, std::span<const float> floor) noexcept;

    void clear() noexcept { count_ = 0; }

  private:
    std::size_t place(FrameIndex frame) const noexcept {
        return static_cast<std::size_t>(frame) % quarters_.size();
    }
    std::span<float> slot(std::vector<float>& values, FrameIndex frame) noexcept {
        return {values.data() + place(frame) * dsp::kBins, dsp::kBins};
    }

    std::vector<float> powers_; // [capacity][bins]
    std::vector<float> floors_; // [capacity][bins]
    std::vector<Quarters> quarters_;
    FrameIndex count_ = 0;
};

} // namespace quietpass
