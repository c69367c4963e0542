// Cuts stretches out of a detector's activity: hysteresis, bridged pauses, shortest and longest length.
//
// A stretch starts where the activity last rose through `off` before it reached `on`, at most 0.3 s before,
// and ends at its last frame above max(off, peak · keep_share − drop): what lies far under the stretch's own
// peak (the ringing after a bang) is no part of it, and a new rise starts a new stretch. A stretch that
// reaches `longest` is cut at its weakest frame after a third of it. Allocates in the constructor only. Not
// thread-safe.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "classifiers/frame_history.h"

namespace quietpass {

struct Span {
    FrameIndex first = 0;
    FrameIndex last = 0;    // inclusive
    bool cut_short = false; // ended because it reached the longest length
    bool continues = false; // began where another one was cut
};

struct SpanSettings {
    float on = 0.0F;
    float off = 0.0F;
    float keep_share = 1.0F;
    float drop = 0.0F;
    FrameIndex shortest = 1; // frames
    FrameIndex longest = 1;
    FrameIndex join = 0; // pauses up to this many frames are bridged
};

class SpanTracker {
  public:
    // How far before its trigger a stretch may start: 0.29 s. A call swells no slower from `off` to `on`.
    static constexpr FrameIndex kLookBack = 18;

    explicit SpanTracker(const SpanSettings& settings);

    // One frame: `trigger` may start a stretch, `activity` holds it. Returns the stretch that ended, if one
    // did.
    std::optional<Span> process(FrameIndex frame, float trigger, float activity) noexcept;

    // Ends what is under way.
    std::optional<Span> finish() noexcept;

    bool open() const noexcept { return open_; }
    // First frame of the stretch under way, or that a stretch starting now could have.
    FrameIndex earliest(FrameIndex now) const noexcept;

  private:
    std::optional<Span> close() noexcept;
    Span cut() noexcept;
    void trim_start() noexcept;
    float holding(float peak) const noexcept; // activity that holds a stretch of this peak
    float& activity_at(FrameIndex frame) noexcept {
        return activities_[static_cast<std::size_t>(frame) % activities_.size()];
    }

    SpanSettings settings_;
    std::vector<float> activities_; // ring
    bool open_ = false;
    bool rising_ = false;
    bool continues_ = false;
    FrameIndex start_ = 0; // of the stretch, or of the rise that may become one
    FrameIndex last_ = 0;
    float peak_ = 0.0F;
    float lowest_ = 0.0F; // since the last stretch ended
};

} // namespace quietpass
