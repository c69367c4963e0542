// One sound laid out for measuring: its frames as spectra over the floor, and the level of the frames around
// it.
//
// The floor is the one at the sound's first frame. clean = power less twice the floor, never below 0: of
// plain noise an eighth is left. "Strong" frames are those within 20 dB of the loudest; shapes are taken from
// them only. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "classifiers/frame_history.h"
#include "classifiers/span_tracker.h"
#include "classifiers/whitened_frame.h"
#include "dsp/spectral_measures.h"

namespace quietpass {

inline constexpr std::size_t kOctaves = 7; // 63-125 Hz … 4-8 kHz

class SoundFrames {
  public:
    static constexpr FrameIndex kMaxFrames = 512;
    static constexpr FrameIndex kBefore = 62; // frames of surroundings, 1 s
    static constexpr FrameIndex kAfter = 31;  // 0.5 s

    SoundFrames();

    void load(const FrameHistory& history, const Span& span) noexcept;

    std::size_t count() const noexcept { return count_; }
    std::span<const float> clean(std::size_t i) const noexcept {
        return {clean_.data() + i * dsp::kBins, dsp::kBins};
    }
    std::span<const float> power(std::size_t i) const noexcept {
        return history_->power(first_ + static_cast<FrameIndex>(i));
    }
    const Quarters& quarters(std::size_t i) const noexcept {
        return history_->quarters(first_ + static_cast<FrameIndex>(i));
    }
    std::span<const float> floor() const noexcept { return floor_; }
    bool strong(std::size_t i) const noexcept { return strong_[i] != 0; }
    float clean_power(std::size_t i) const noexcept { return clean_power_[i]; }

    // Level of all bands over the floor, dB, never below 0: surroundings included, from the sound's first
    // frame less before() on.
    std::span<const float> around_db() const noexcept { return {around_db_.data(), around_count_}; }
    std::size_t before() const noexcept { return before_; }
    std::span<const float> level_db() const noexcept { return around_db().subspan(before_, count_); }

    const FrameHistory& history() const noexcept { return *history_; }
    FrameIndex first() const noexcept { return first_; }

  private:
    const FrameHistory* history_ = nullptr;
    FrameIndex first_ = 0;
    std::size_t count_ = 0;
    std::size_t before_ = 0;
    std::size_t around_count_ = 0;
    std::vector<float> clean_; // [kMaxFrames][bins]
    std::vector<float> floor_; // [bins]
    std::vector<float> clean_power_;
    std::vector<char> strong_;
    std::vector<float> around_db_;
};

// Bins of octave band 0 … kOctaves − 1.
dsp::BinRange octave_bins(std::size_t octave) noexcept;

// As a size.
inline constexpr auto kMaxFrames = static_cast<std::size_t>(SoundFrames::kMaxFrames);

} // namespace quietpass
