// One channel from a device's rate to the analysis rate.
//
// in: mono samples at rate_hz, 8000 … 192000, else std::invalid_argument. out: samples at out_rate_hz. Output
// sample k is the sound at time k / out_rate_hz, counted from the first input sample: the filter's delay is
// taken out. Exactly the output rate passes through. Rates whose ratio is a fraction of small numbers (8,
// 16, 22.05, 32, 44.1, 48, 96, 192 kHz …) go through an own polyphase FIR: Kaiser window, at 16 kHz flat
// within ±0.02 dB to 7 kHz, ≥ 80 dB down from 9 kHz. Other rates go through libsamplerate (sinc, medium
// quality), fed in fixed chunks. The output depends on the samples only, never on how they were cut into
// blocks. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <cstddef>
#include <memory>
#include <span>

#include "dsp/analysis.h"

namespace quietpass::dsp {

class Resampler {
  public:
    explicit Resampler(double rate_hz, double out_rate_hz = kAnalysisRateHz);
    ~Resampler();
    Resampler(Resampler&&) noexcept;
    Resampler& operator=(Resampler&&) noexcept;

    // No call of process() with `count` samples, and no finish(), writes more than max_output(count) samples.
    std::size_t max_output(std::size_t count) const noexcept;

    // Takes all of `in`; returns how many samples were written. out.size() ≥ max_output(in.size()).
    std::size_t process(std::span<const float> in, std::span<float> out) noexcept;

    // The samples still held back, as if silence followed: in all, ceil(inputs · out_rate / rate) samples
    // come out. out.size() ≥ max_output(0). Only reset() may follow.
    std::size_t finish(std::span<float> out) noexcept;

    // Forgets everything: the next input sample is time 0.
    void reset() noexcept;

    struct Engine;

  private:
    std::unique_ptr<Engine> engine_;
};

} // namespace quietpass::dsp
