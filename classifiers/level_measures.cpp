#include "classifiers/level_measures.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "classifiers/percentile.h"
#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr float kSilence = 1e-12F;

float db(float power) {
    return static_cast<float>(dsp::decibel(std::max(power, kSilence)));
}

// Sharpest change of level between stretches of 16 ms, two apart (32 ms), in dB.
struct Edges {
    float rise = 0.0F;
    float fall = 0.0F;
};

Edges sharpest(const FrameHistory& history, FrameIndex first, FrameIndex end) {
    Edges edges;
    const auto level = [&](FrameIndex frame) {
        const Quarters& q = history.quarters(frame);
        return db(q[0] + q[1] + q[2] + q[3]);
    };
    for (FrameIndex f = first; f + 2 < end; ++f) {
        const float change = level(f + 2) - level(f);
        edges.rise = std::max(edges.rise, change);
        edges.fall = std::max(edges.fall, -change);
    }
    return edges;
}

} // namespace

LevelMeasures::LevelMeasures()
    : thirds_(dsp::FilterBank::octave(dsp::kBins, dsp::kBinHz, 3, 100.0, 6300.0)),
      mean_(dsp::kBins),
      band_(thirds_.count()),
      steady_(thirds_.count()),
      scratch_(
          static_cast<std::size_t>(SoundFrames::kBefore + SoundFrames::kMaxFrames + SoundFrames::kAfter)) {}

void LevelMeasures::process(const SoundFrames& frames, MeasureRow& row) noexcept {
    course(frames, row);
    octaves(frames, row);
    surroundings(frames, row);
}

void LevelMeasures::course(const SoundFrames& frames, MeasureRow& row) noexcept {
    const std::size_t count = frames.count();
    row[kDurationS] = static_cast<float>(static_cast<double>(count) * dsp::kFrameS);

    std::size_t loudest = 0;
    for (std::size_t i = 1; i < count; ++i) {
        if (frames.clean_power(i) > frames.clean_power(loudest)) loudest = i;
    }
    const float peak = std::max(frames.clean_power(loudest), kSilence);
    const auto edge_s = [&](std::ptrdiff_t step) {
        const auto size = static_cast<std::ptrdiff_t>(count);
        auto i = static_cast<std::ptrdiff_t>(loudest);
        while (i >= 0 && i < size && frames.clean_power(static_cast<std::size_t>(i)) > 0.5F * peak) i += step;
        const std::ptrdiff_t near = i;
        while (i >= 0 && i < size && frames.clean_power(static_cast<std::size_t>(i)) > 0.01F * peak)
            i += step;
        return static_cast<float>(static_cast<double>(std::abs(i - near) + 1) * dsp::kFrameS);
    };
    row[kAttackS] = edge_s(-1);
    row[kDecayS] = edge_s(1);
    row[kPeakAt] = count > 1 ? static_cast<float>(loudest) / static_cast<float>(count - 1) : 0.5F;

    const Edges edges = sharpest(frames.history(), std::max(frames.history().oldest(), frames.first() - 2),
                                 frames.first() + static_cast<FrameIndex>(count));
    row[kRiseDb] = edges.rise;
    row[kFallDb] = edges.fall;

    float highest = 0.0F;
    float sum = 0.0F;
    for (std::size_t i = 0; i < count; ++i) {
        for (const float quarter : frames.quarters(i)) {
            highest = std::max(highest, quarter);
            sum += 0.25F * quarter;
        }
        scratch_[i] = db(frames.clean_power(i) / peak);
    }
    row[kCrestDb] = db(highest) - db(sum / static_cast<float>(count));
    const std::span<float> levels(scratch_.data(), count);
    std::size_t dips = 0;
    for (float& level : levels) {
        dips += level < -15.0F ? 1U : 0U;
        level = std::max(level, -60.0F);
    }
    row[kDipShare] = static_cast<float>(dips) / static_cast<float>(count);
    row[kLevelIqrDb] = middle_half(levels);
    std::ranges::copy(frames.level_db(), scratch_.begin());
    row[kOverDb] = percentile(levels, 0.9);
    row[kOverMedianDb] = percentile(levels, 0.5);
}

void LevelMeasures::octaves(const SoundFrames& frames, MeasureRow& row) noexcept {
    const std::size_t count = frames.count();
    std::array<float, kOctaves> energy{};
    float total = 0.0F;
    for (std::size_t o = 0; o < kOctaves; ++o) {
        const dsp::BinRange range = octave_bins(o);
        float steady = 0.0F;
        for (std::size_t k = range.first; k <= range.last; ++k) steady += frames.floor()[k];
        for (std::size_t i = 0; i < count; ++i) {
            const auto power = frames.power(i);
            const auto clean = frames.clean(i);
            float heard = 0.0F;
            for (std::size_t k = range.first; k <= range.last; ++k) {
                heard += power[k];
                energy[o] += clean[k];
            }
            scratch_[i] = db(std::max(1.0F, heard / steady));
        }
        row[kOver63Db + o] = percentile({scratch_.data(), count}, 0.75);
        total += energy[o];
    }
    for (std::size_t o = 0; o < kOctaves; ++o) {
        row[kShare63 + o] = total > 0.0F ? energy[o] / total : 0.0F;
    }

    std::ranges::fill(mean_, 0.0F);
    for (std::size_t i = 0; i < count; ++i) {
        const auto power = frames.power(i);
        for (std::size_t k = 0; k < dsp::kBins; ++k) mean_[k] += power[k];
    }
    thirds_.process(mean_, band_);
    thirds_.process(frames.floor(), steady_);
    std::size_t up = 0;
    for (std::size_t b = 0; b < band_.size(); ++b) {
        up += band_[b] > 4.0F * static_cast<float>(count) * steady_[b] ? 1U : 0U;
    }
    row[kBandsUp] = static_cast<float>(up) / static_cast<float>(band_.size());
}

void LevelMeasures::surroundings(const SoundFrames& frames, MeasureRow& row) noexcept {
    const auto around = frames.around_db();
    const auto before = around.first(frames.before());
    const auto after = around.subspan(frames.before() + frames.count());
    const auto mean = [](std::span<const float> levels) {
        float sum = 0.0F;
        for (const float level : levels) sum += level;
        return levels.empty() ? 0.0F : sum / static_cast<float>(levels.size());
    };
    row[kBeforeDb] = mean(before);
    row[kAfterDb] = mean(after);
    std::size_t quiet = 0;
    for (const auto& part : {before, after}) {
        for (const float level : part) quiet += level < 3.0F ? 1U : 0U;
    }
    const std::size_t all = before.size() + after.size();
    row[kQuietAround] = all == 0 ? 1.0F : static_cast<float>(quiet) / static_cast<float>(all);
    row[kBangBeforeDb] =
        sharpest(frames.history(), frames.first() - static_cast<FrameIndex>(frames.before()), frames.first())
            .rise;
}

float fast_level_db(const SoundFrames& frames, const dsp::BinRange& band) noexcept {
    return fast_level_db(frames.history(), frames.first(),
                         frames.first() + static_cast<FrameIndex>(frames.count()), band);
}

float fast_level_db(const FrameHistory& history, FrameIndex first, FrameIndex end,
                    const dsp::BinRange& band) noexcept {
    constexpr double kNoiseBandwidthBins = 1.5; // of the Hann window (Harris, Proc. IEEE 66 (1978) 51)
    constexpr double kTimeConstantS = 0.125;    // F, IEC 61672-1
    constexpr FrameIndex kRunUp = 16;
    const double keep = std::exp(-dsp::kFrameS / kTimeConstantS);
    const FrameIndex start = std::max(history.oldest(), first - kRunUp);
    double level = 0.0;
    double highest = 0.0;
    for (FrameIndex f = start; f < std::min(end, history.count()); ++f) {
        const double power = dsp::band_power(history.power(f), band) / kNoiseBandwidthBins;
        level = f == start ? power : keep * level + (1.0 - keep) * power;
        if (f >= first) highest = std::max(highest, level);
    }
    return static_cast<float>(dsp::decibel(highest));
}

} // namespace quietpass
