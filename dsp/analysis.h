// The sizes that the whole analysis chain shares: samples at 16 kHz, frames of 64 ms every 16 ms, 513 bins
// of 15.625 Hz.
//
// Frame k covers the samples [k·kHop, k·kHop + kFrameSize) of the analysis rate; its middle is at
// frame_time_s(k).
#pragma once

#include <cstddef>

namespace quietpass::dsp {

inline constexpr double kAnalysisRateHz = 16000.0;
inline constexpr std::size_t kFrameSize = 1024;
inline constexpr std::size_t kHop = 256;
inline constexpr std::size_t kBins = kFrameSize / 2 + 1;
inline constexpr double kBinHz = kAnalysisRateHz / static_cast<double>(kFrameSize);
inline constexpr double kFrameRateHz = kAnalysisRateHz / static_cast<double>(kHop);
inline constexpr double kFrameS = 1.0 / kFrameRateHz; // from one frame to the next

// Seconds from the first sample to the middle of frame `index`.
constexpr double frame_time_s(std::size_t index) {
    return (static_cast<double>(index) * static_cast<double>(kHop) + 0.5 * static_cast<double>(kFrameSize)) /
           kAnalysisRateHz;
}

} // namespace quietpass::dsp
