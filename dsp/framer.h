// Overlapping frames out of a stream of samples.
//
// size ≥ hop ≥ 1, else std::invalid_argument. Frame k holds the samples [k·hop, k·hop + size). The frames
// depend on the samples only, never on how they were cut into blocks. Allocates in the constructor only. Not
// thread-safe.
#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

namespace quietpass::dsp {

class Framer {
  public:
    Framer(std::size_t size, std::size_t hop);

    // Takes from the front of `samples` and removes what it took. True when a frame is complete: read it with
    // frame() before the next call. False when all samples are taken and more are needed.
    bool next(std::span<const float>& samples) noexcept;

    // The latest complete frame, [size].
    std::span<const float> frame() const noexcept { return {buffer_.data(), size_}; }

    // Frames completed since construction or reset().
    std::size_t count() const noexcept { return count_; }

    void reset() noexcept;

  private:
    std::size_t size_;
    std::size_t hop_;
    std::size_t filled_ = 0;
    std::size_t count_ = 0;
    bool complete_ = false;
    std::vector<float> buffer_;
};

} // namespace quietpass::dsp
