// Stretches found by level and by tone, waiting to be measured: put in order of start, and the two of one
// sound made one.
//
// A stretch by tone that all but covers one by level (their common part is 3/4 of the whole or more) is the
// same sound: the one by level stays. Fixed size. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>

#include "classifiers/sound.h"
#include "classifiers/sound_measures.h"
#include "classifiers/span_tracker.h"

namespace quietpass {

struct FoundSpan {
    Span span;
    FoundBy by = FoundBy::kLevel;
    bool measured_early = false; // `early` holds its measures
    SoundMeasures::Result early;
};

class SpanQueue {
  public:
    static constexpr std::size_t kCapacity = 64;

    // Returns how many stretches were lost because the queue was full: 0 or 1 (the new one).
    std::size_t add(const Span& span, FoundBy by) noexcept;

    // The earliest stretch, if it ended before `heard` and before `open`, the start of what is still under
    // way.
    bool take_settled(FrameIndex open, FrameIndex heard, FoundSpan& out) noexcept;

    // The first stretch by tone that ended before `heard` and was not measured yet, though another must be
    // waited for; null when there is none. Valid until the next call of anything here.
    FoundSpan* unmeasured_tone(FrameIndex heard) noexcept;

    // The earliest stretch, whatever it is.
    bool take(FoundSpan& out) noexcept;

    // First frame of the earliest stretch, or `otherwise` if that is earlier or nothing waits.
    FrameIndex earliest(FrameIndex otherwise) const noexcept;

  private:
    std::array<FoundSpan, kCapacity> spans_{}; // by first frame
    std::size_t count_ = 0;
};

} // namespace quietpass
