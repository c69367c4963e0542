#include "classifiers/frame_history.h"

#include <algorithm>

namespace quietpass {

FrameHistory::FrameHistory(std::size_t capacity)
    : powers_(capacity * dsp::kBins), floors_(capacity * dsp::kBins), quarters_(capacity) {}

FrameIndex FrameHistory::oldest() const noexcept {
    return std::max<FrameIndex>(0, count_ - static_cast<FrameIndex>(quarters_.size()));
}

void FrameHistory::replace_floor(FrameIndex frame, std::span<const float> floor) noexcept {
    std::ranges::copy(floor, slot(floors_, frame).begin());
}

} // namespace quietpass
