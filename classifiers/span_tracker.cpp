#include "classifiers/span_tracker.h"

#include <algorithm>
#include <utility>

namespace quietpass {

SpanTracker::SpanTracker(const SpanSettings& settings)
    : settings_(settings), activities_(static_cast<std::size_t>(settings.longest + 2)) {}

std::optional<Span> SpanTracker::process(FrameIndex frame, float trigger, float activity) noexcept {
    activity_at(frame) = activity;
    if (!open_) {
        lowest_ = std::min(lowest_, activity);
        // After a loud stretch its own fading must not start the next one: a rise is asked for.
        const bool rises = activity >= std::max(settings_.off, lowest_ + 0.25F * settings_.off);
        if (!rises) {
            rising_ = false;
        } else if (!rising_) {
            rising_ = true;
            start_ = frame;
        }
        start_ = std::max(start_, frame - kLookBack);
        if (!rising_ || trigger < settings_.on) return std::nullopt;
        open_ = true;
        last_ = frame;
        peak_ = activity;
        return std::nullopt;
    }
    if (activity >= holding(peak_)) {
        last_ = frame;
        peak_ = std::max(peak_, activity);
    } else {
        lowest_ = frame == last_ + 1 ? activity : std::min(lowest_, activity);
        if (frame - last_ > settings_.join) return close();
    }
    if (frame - start_ + 1 >= settings_.longest) return cut();
    return std::nullopt;
}

std::optional<Span> SpanTracker::finish() noexcept {
    std::optional<Span> span;
    if (open_) span = close();
    rising_ = false;
    return span;
}

FrameIndex SpanTracker::earliest(FrameIndex now) const noexcept {
    return open_ || rising_ ? start_ : now;
}

std::optional<Span> SpanTracker::close() noexcept {
    open_ = false;
    rising_ = false;
    const bool continues = std::exchange(continues_, false);
    if (!continues) trim_start();
    if (last_ - start_ + 1 < settings_.shortest) return std::nullopt;
    return Span{start_, last_, false, continues};
}

// Frames overlap: those before a loud onset hold its first samples, as those after the end hold the last.
void SpanTracker::trim_start() noexcept {
    const FrameIndex end = std::min(start_ + kLookBack, last_ + 1);
    float peak = 0.0F;
    for (FrameIndex f = start_; f < end; ++f) peak = std::max(peak, activity_at(f));
    while (start_ < last_ && activity_at(start_) < holding(peak)) ++start_;
}

float SpanTracker::holding(float peak) const noexcept {
    return std::max(settings_.off, peak * settings_.keep_share - settings_.drop);
}

Span SpanTracker::cut() noexcept {
    if (!continues_) trim_start();
    FrameIndex weakest = last_;
    for (FrameIndex f = start_ + settings_.longest / 3; f < last_; ++f) {
        if (activity_at(f) < activity_at(weakest)) weakest = f;
    }
    const Span span{start_, weakest, true, continues_};
    start_ = weakest + 1;
    continues_ = true;
    peak_ = 0.0F;
    for (FrameIndex f = start_; f <= last_; ++f) peak_ = std::max(peak_, activity_at(f));
    if (last_ < start_) open_ = rising_ = continues_ = false;
    return span;
}

} // namespace quietpass
