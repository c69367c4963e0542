#include "daemon/clips/clip_peaks.h"

#include <algorithm>
#include <limits>

namespace quietpass {

ClipPeaks clip_peaks(ClipStretch& clip, int channel, std::int64_t from, std::int64_t to,
                     std::size_t columns) {
    constexpr float kNone = std::numeric_limits<float>::infinity();
    ClipPeaks peaks{std::vector<float>(columns, kNone), std::vector<float>(columns, -kNone)};
    const auto frames = static_cast<std::uint64_t>(to - from);
    std::uint64_t at = 0;
    clip.each(channel, from, to, [&](std::span<const float> block) {
        for (const float sample : block) {
            const auto column = static_cast<std::size_t>(at++ * columns / frames);
            peaks.lowest[column] = std::min(peaks.lowest[column], sample);
            peaks.highest[column] = std::max(peaks.highest[column], sample);
        }
    });
    return peaks;
}

} // namespace quietpass
