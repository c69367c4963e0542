// Follows the voice in a sound: the run of harmonics that goes through it best, found over all frames at
// once.
//
// For every frame each fundamental of a grid (48 steps an octave) gets a salience: how far its harmonics
// stand out of their surroundings, less what stands between them. The path with the highest sum, moves of
// pitch costing, is the pitch (dynamic programming, as usual in pitch tracking). The voice is the stretch of
// that path with the most salience above a threshold. Spectra are means over 48 ms for high voices, 80 ms for
// low ones. Allocates in the constructor only; process() is noexcept. Not thread-safe.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "classifiers/sound_frames.h"
#include "dsp/analysis.h"

namespace quietpass {

class VoiceTracker {
  public:
    static constexpr std::size_t kStepsPerOctave = 48;

    // Frames of the sound that hold the voice; count 0: there is none.
    struct Stretch {
        std::size_t first = 0;
        std::size_t count = 0;
    };

    // The lowest and highest fundamental that is looked for, within 50 … 2600 Hz.
    VoiceTracker(double f0_low_hz, double f0_high_hz);

    Stretch process(const SoundFrames& frames) noexcept;

    // Of the sound processed last, frame by frame; the path goes through all its frames, voice or none.
    std::span<const float> f0_hz() const noexcept { return {f0_.data(), count_}; }
    std::span<const float> path_salience() const noexcept { return {path_salience_.data(), count_}; }
    std::span<const std::uint16_t> path() const noexcept { return {path_.data(), count_}; } // grid steps
    // [steps of the grid] of a frame.
    std::span<const float> salience(std::size_t frame) const noexcept {
        return {salience_.data() + frame * grid_hz_.size(), grid_hz_.size()};
    }
    // [dsp::kBins] of a frame: log2(1 + power / floor), and how far that lies over its surroundings, which
    // may be negative.
    std::span<const float> excess(std::size_t frame) const noexcept {
        return {excess_.data() + frame * dsp::kBins, dsp::kBins};
    }
    std::span<const float> peaks(std::size_t frame) const noexcept {
        return {peaks_.data() + frame * dsp::kBins, dsp::kBins};
    }

  private:
    struct Tap {
        std::uint16_t bin; // the lower of two neighbours
        float upper;       // the upper one's share
        float weight;
    };

    void whiten(const SoundFrames& frames) noexcept;
    void find_salience(std::size_t frame) noexcept;
    void follow() noexcept;
    Stretch strongest_stretch() const noexcept;

    std::ptrdiff_t side_; // frames on either side that a spectrum is the mean of
    float voiced_;        // salience that counts as voice
    std::size_t count_ = 0;
    std::vector<Tap> taps_;
    std::vector<std::uint32_t> begins_; // [steps + 1]
    std::vector<float> grid_hz_;        // [steps]
    std::vector<float> excess_;         // [kMaxFrames][bins]
    std::vector<float> peaks_;          // [kMaxFrames][bins]
    std::vector<float> salience_;       // [kMaxFrames][steps]
    std::vector<std::int8_t> back_;     // [kMaxFrames][steps]
    std::vector<float> best_;           // [2][steps]
    std::vector<std::uint16_t> path_;   // [kMaxFrames]
    std::vector<float> path_salience_;  // [kMaxFrames]
    std::vector<float> f0_;             // [kMaxFrames]
};

} // namespace quietpass
