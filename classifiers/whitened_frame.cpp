#include "classifiers/whitened_frame.h"

#include <algorithm>

#include "classifiers/fast_log2.h"

namespace quietpass {

void WhitenedFrame::process(std::span<const float> power, std::span<const float> floor) noexcept {
    for (std::size_t k = 0; k < dsp::kBins; ++k) excess_[k] = fast_log2(1.0F + power[k] / floor[k]);

    constexpr std::size_t kReach = 8;
    constexpr float kShare = 1.0F / static_cast<float>(2 * kReach + 1);
    // Prefix sums padded at both ends by the outermost values, so that every bin has the same surroundings.
    std::array<float, dsp::kBins + 2 * kReach + 1> sums;
    sums[0] = 0.0F;
    for (std::size_t i = 0; i < dsp::kBins + 2 * kReach; ++i) {
        const std::size_t k = i < kReach ? 0 : std::min(i - kReach, dsp::kBins - 1);
        sums[i + 1] = sums[i] + excess_[k];
    }
    for (std::size_t k = 0; k < dsp::kBins; ++k) {
        const float around = (sums[k + 2 * kReach + 1] - sums[k]) * kShare;
        peaks_[k] = std::max(0.0F, excess_[k] - around);
    }
}

} // namespace quietpass
