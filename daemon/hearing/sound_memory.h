// The last stretch of one microphone's samples, so that a call can be looked at again once it is known to be
// one.
//
// Times are seconds of this microphone's own sample clock, lost samples included. Memory is bounded:
// longest_s of samples, less whatever forget_before() let go. A loss forgets all before it: a call does not
// reach across a loss. Pure; not thread-safe. hear() and excerpt() may allocate.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "dsp/resampler.h"

namespace quietpass {

class SoundMemory {
  public:
    // rate_hz: as dsp::Resampler's. longest_s above 0.
    SoundMemory(double rate_hz, double longest_s);

    void hear(std::span<const float> samples);
    void lose(std::int64_t count);
    void forget_before(double time_s);

    // The first moment that is kept, seconds.
    double kept_from_s() const { return static_cast<double>(first_) / rate_hz_; }

    // The samples from from_s to to_s at the analysis rate, in `out`. False, and `out` empty, where they are
    // not all there.
    bool excerpt(double from_s, double to_s, std::vector<float>& out);

    // Samples kept now.
    std::size_t size() const { return samples_.size() - gone_; }

  private:
    void drop(std::int64_t count);

    double rate_hz_;
    std::size_t longest_;
    std::vector<float> samples_; // the first gone_ of them are forgotten
    std::size_t gone_ = 0;
    std::int64_t first_ = 0; // index in the stream of the first sample kept
    dsp::Resampler resampler_;
};

} // namespace quietpass
