#include "classifiers/sound_frames.h"

#include <algorithm>
#include <cmath>

#include "classifiers/fast_log2.h"
#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr std::size_t kLowestBin = 4; // 62.5 Hz: below lie wind, rumble and the mains

} // namespace

dsp::BinRange octave_bins(std::size_t octave) noexcept {
    const std::size_t first = kLowestBin << octave;
    return {first, octave + 1 == kOctaves ? dsp::kBins - 1 : 2 * first - 1};
}

SoundFrames::SoundFrames()
    : clean_(static_cast<std::size_t>(kMaxFrames) * dsp::kBins),
      floor_(dsp::kBins),
      clean_power_(static_cast<std::size_t>(kMaxFrames)),
      strong_(static_cast<std::size_t>(kMaxFrames)),
      around_db_(static_cast<std::size_t>(kBefore + kMaxFrames + kAfter)) {}

void SoundFrames::load(const FrameHistory& history, const Span& span) noexcept {
    history_ = &history;
    first_ = span.first;
    const FrameIndex end = std::min(span.last + 1, first_ + kMaxFrames);
    count_ = static_cast<std::size_t>(end - first_);
    std::ranges::copy(history.floor(first_), floor_.begin());

    float loudest = 0.0F;
    for (std::size_t i = 0; i < count_; ++i) {
        const auto heard = power(i);
        float* out = clean_.data() + i * dsp::kBins;
        for (std::size_t k = 0; k < kLowestBin; ++k) out[k] = 0.0F;
        for (std::size_t k = kLowestBin; k < dsp::kBins; ++k) {
            out[k] = std::max(0.0F, heard[k] - 2.0F * floor_[k]);
        }
        float sum = 0.0F;
        for (std::size_t k = kLowestBin; k < dsp::kBins; ++k) sum += out[k];
        clean_power_[i] = sum;
        loudest = std::max(loudest, sum);
    }
    for (std::size_t i = 0; i < count_; ++i) strong_[i] = clean_power_[i] >= 0.01F * loudest ? 1 : 0;

    const FrameIndex around_first = std::max(history.oldest(), first_ - kBefore);
    const FrameIndex around_end = std::min(history.count(), end + kAfter);
    before_ = static_cast<std::size_t>(first_ - around_first);
    around_count_ = static_cast<std::size_t>(around_end - around_first);
    for (std::size_t i = 0; i < around_count_; ++i) {
        const auto heard = history.power(around_first + static_cast<FrameIndex>(i));
        // Mean over octaves, each against its own floor: the low end's might doesn't hide the high end.
        float sum = 0.0F;
        for (std::size_t o = 0; o < kOctaves; ++o) {
            const dsp::BinRange range = octave_bins(o);
            float above = 0.0F;
            float steady = 0.0F;
            for (std::size_t k = range.first; k <= range.last; ++k) {
                above += heard[k];
                steady += floor_[k];
            }
            sum += fast_log2(std::max(1.0F, above / steady));
        }
        around_db_[i] = dsp::kDbPerLog2 * sum / static_cast<float>(kOctaves);
    }
}

} // namespace quietpass
