#include "classifiers/impacts.h"

#include <algorithm>
#include <cmath>

#include "classifiers/level_measures.h"

namespace quietpass {

namespace {

// A leap needs three hops to come into a frame of four in full.
constexpr std::size_t kRiseFrames = 3;
constexpr std::size_t kFallFrames = 12;
constexpr FrameIndex kLevelFrames = 6;

// Highest F-weighted level in the frames around a moment.
float level_at(const SoundFrames& frames, std::size_t at, const dsp::BinRange& band) noexcept {
    const FrameIndex middle = frames.first() + static_cast<FrameIndex>(at);
    return fast_level_db(frames.history(), middle - static_cast<FrameIndex>(kRiseFrames),
                         middle + kLevelFrames, band);
}

} // namespace

void find_impacts(const SoundFrames& frames, const dsp::BinRange& band, Impacts& out) noexcept {
    out.count = 0;
    const auto level = frames.around_db();
    const std::size_t begin = std::max(frames.before(), kRiseFrames);
    const std::size_t end = frames.before() + frames.count();
    const auto rise = [&](std::size_t i) { return level[i] - level[i - kRiseFrames]; };
    for (std::size_t i = begin; i < end && out.count < Impacts::kMost;) {
        if (rise(i) < Impacts::kLeastRise_db) {
            ++i;
            continue;
        }
        // The steepest place of this rise, then the top it leads to.
        std::size_t steepest = i;
        while (i < end && rise(i) >= Impacts::kLeastRise_db) {
            if (rise(i) > rise(steepest)) steepest = i;
            ++i;
        }
        const auto around = level.subspan(steepest, std::min(kRiseFrames, end - steepest));
        const std::size_t top =
            steepest +
            static_cast<std::size_t>(std::max_element(around.begin(), around.end()) - around.begin());
        const auto after = level.subspan(top, std::min(kFallFrames + 1, level.size() - top));
        Impact& impact = out.list[out.count++];
        impact.after_s = static_cast<float>(static_cast<double>(top - frames.before()) * dsp::kFrameS);
        impact.rise_db = rise(steepest);
        impact.fall_db = level[top] - *std::min_element(after.begin(), after.end());
        impact.level_db = level_at(frames, top - frames.before(), band);
        i = std::max(i, top + Impacts::kApart);
    }
}

} // namespace quietpass
