#include "classifiers/whitened_frame.h"

#include <algorithm>

#include "classifiers/fast_log2.h"
#include "dsp/lanes.h"

namespace quietpass {

using dsp::Lane4;
using dsp::larger4;
using dsp::load4;
using dsp::store4;

void WhitenedFrame::process(std::span<const float> power, std::span<const float> floor) noexcept {
    constexpr std::size_t kReach = 8;
    constexpr float kShare = 1.0F / static_cast<float>(2 * kReach + 1);
    constexpr std::size_t kWhole = dsp::kBins / 4 * 4;
    // Padded at both ends by the outermost values, so that every bin has the same surroundings.
    std::array<float, kWhole + 4 + 2 * kReach + 4> padded;
    float* excess = padded.data() + kReach;
    for (std::size_t k = 0; k < kWhole; k += 4)
        store4(excess + k, fast_log2(1.0F + load4(&power[k]) / load4(&floor[k])));
    for (std::size_t k = kWhole; k < dsp::kBins; ++k) excess[k] = fast_log2(1.0F + power[k] / floor[k]);
    std::fill(padded.begin(), padded.begin() + kReach, excess[0]);
    std::fill(padded.begin() + kReach + dsp::kBins, padded.end(), excess[dsp::kBins - 1]);
    std::copy_n(excess, dsp::kBins, excess_.begin());

    // The sum of 16 neighbours in fours of fours.
    std::array<float, padded.size()> fours;
    for (std::size_t i = 0; i + 8 <= padded.size(); i += 4) {
        const float* at = &padded[i];
        store4(&fours[i], (load4(at) + load4(at + 1)) + (load4(at + 2) + load4(at + 3)));
    }
    const auto around = [&](std::size_t k) {
        const float* at = &fours[k];
        return (((load4(at) + load4(at + 4)) + (load4(at + 8) + load4(at + 12))) +
                load4(&padded[k + 2 * kReach])) *
               kShare;
    };
    for (std::size_t k = 0; k < kWhole; k += 4)
        store4(&peaks_[k], larger4(load4(&excess_[k]) - around(k), Lane4{}));
    static_assert(dsp::kBins == kWhole + 1);
    peaks_[kWhole] = std::max(0.0F, excess_[kWhole] - around(kWhole)[0]);
}

} // namespace quietpass
