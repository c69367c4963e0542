// Frames and their power spectra out of a stream of samples, four frames at a time: what Framer and
// PowerSpectrum give, at a third of the cost, up to three hops later.
//
// Frame k holds the samples [k·hop, k·hop + size); powers are scaled as PowerSpectrum's. A frame's powers
// depend on its samples only, bit for bit: not on how the stream was cut into blocks nor on which frames it
// shares a transform with. size: a multiple of 4 with no prime factor above 5, 1 ≤ hop ≤ size, else
// std::invalid_argument. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "dsp/analysis.h"
#include "dsp/real_fft4.h"

namespace quietpass::dsp {

class SpectrumStream {
  public:
    static constexpr std::size_t kBatch = 4;

    explicit SpectrumStream(std::size_t size = kFrameSize, std::size_t hop = kHop);

    std::size_t bins() const noexcept { return bins_; }

    // Takes from the front of `samples` and removes what it took. True when count() frames are ready: read
    // them before the next call. False when all samples are taken and more are needed.
    bool next(std::span<const float>& samples) noexcept;

    // No more samples for now: the frames that are complete and still wait for company, if there are any.
    // Call reset() before more samples come.
    bool flush() noexcept;

    std::size_t count() const noexcept { return count_; } // 1 … kBatch after next() or flush() gave true
    std::span<const float> frame(std::size_t i) const noexcept { return {&samples_[i * hop_], size_}; }
    std::span<const float> power(std::size_t i) const noexcept { return {&powers_[i * stride_], bins_}; }

    // Forgets all samples.
    void reset() noexcept;

  private:
    void transform() noexcept;

    std::size_t size_;
    std::size_t hop_;
    std::size_t bins_;
    std::size_t stride_; // bins, rounded up to 4
    std::size_t filled_ = 0;
    std::size_t count_ = 0;
    bool taken_ = false;         // the batch has been handed out
    std::vector<float> samples_; // of four overlapping frames
    std::vector<float> window_;  // already scaled to the 0 dB convention
    std::vector<float> powers_;  // [kBatch][stride]
    RealFft4 fft_;
    std::vector<Lane4> windowed_; // [size]
    std::vector<RealFft4::Bin> spectrum_;
};

} // namespace quietpass::dsp
