#include "classifiers/span_queue.h"

#include <algorithm>

namespace quietpass {

namespace {

bool same_sound(const Span& a, const Span& b) {
    const FrameIndex common = std::min(a.last, b.last) - std::max(a.first, b.first) + 1;
    const FrameIndex whole = std::max(a.last, b.last) - std::min(a.first, b.first) + 1;
    return 4 * common >= 3 * whole;
}

} // namespace

std::size_t SpanQueue::add(const Span& span, FoundBy by) noexcept {
    for (std::size_t i = 0; i < count_; ++i) {
        if (spans_[i].by == by || !same_sound(spans_[i].span, span)) continue;
        if (by == FoundBy::kTone) return 0;
        std::copy(spans_.begin() + static_cast<std::ptrdiff_t>(i) + 1,
                  spans_.begin() + static_cast<std::ptrdiff_t>(count_),
                  spans_.begin() + static_cast<std::ptrdiff_t>(i));
        --count_;
        break;
    }
    if (count_ == kCapacity) return 1;
    std::size_t at = count_++;
    for (; at > 0 && span.first < spans_[at - 1].span.first; --at) spans_[at] = spans_[at - 1];
    spans_[at].span = span;
    spans_[at].by = by;
    spans_[at].measured_early = false;
    return 0;
}

FoundSpan* SpanQueue::unmeasured_tone(FrameIndex heard) noexcept {
    for (std::size_t i = 0; i < count_; ++i) {
        FoundSpan& found = spans_[i];
        if (found.by == FoundBy::kTone && !found.measured_early && found.span.last < heard) return &found;
    }
    return nullptr;
}

bool SpanQueue::take_settled(FrameIndex open, FrameIndex heard, FoundSpan& out) noexcept {
    if (count_ == 0 || spans_[0].span.last >= std::min(open, heard)) return false;
    return take(out);
}

bool SpanQueue::take(FoundSpan& out) noexcept {
    if (count_ == 0) return false;
    out = spans_[0];
    std::copy(spans_.begin() + 1, spans_.begin() + static_cast<std::ptrdiff_t>(count_), spans_.begin());
    --count_;
    return true;
}

FrameIndex SpanQueue::earliest(FrameIndex otherwise) const noexcept {
    return count_ == 0 ? otherwise : std::min(otherwise, spans_[0].span.first);
}

} // namespace quietpass
