// Measures of the voice in a sound: the run of harmonics that can best be followed through it, found over
// all frames at once. They look at the harmonics only, so that noise beside them matters little.
//
// For every frame each fundamental of a grid gets a salience: how far its harmonics stand out of their
// surroundings, less what stands between them. The path with the highest sum, moves of pitch costing, is the
// pitch (dynamic programming, as usual in pitch tracking). The voice is the stretch of that path with the
// most salience above a threshold. Spectra are means over 48 ms for high
// voices, 80 ms for low ones. Measures of a sound without a voice are
// 0. Allocates in the constructor only; process() is noexcept. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/sound_frames.h"
#include "dsp/analysis.h"
#include "dsp/modulation.h"

namespace quietpass {

class VoiceMeasures {
  public:
    // Frames of the sound that hold the voice; count 0: there is none.
    struct Stretch {
        std::size_t first = 0;
        std::size_t count = 0;
    };

    // The lowest and highest fundamental that is looked for, within 50 … 2600 Hz.
    VoiceMeasures(double f0_low_hz, double f0_high_hz);

    Stretch process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    struct Tap {
        std::uint16_t bin; // the lower of two neighbours
        float upper;       // the upper one's share
        float weight;
    };

    void whiten(const SoundFrames& frames) noexcept;
    void salience(std::size_t frame) noexcept;
    void follow(std::size_t count) noexcept;
    Stretch strongest_stretch(std::size_t count) const noexcept;
    void measure_pitch(const Stretch& voice, std::size_t count, MeasureRow& row) noexcept;
    void measure_harmonics(const Stretch& voice, MeasureRow& row) noexcept;

    float* excess(std::size_t frame) noexcept { return excess_.data() + frame * dsp::kBins; }
    float* peaks(std::size_t frame) noexcept { return peaks_.data() + frame * dsp::kBins; }

    std::ptrdiff_t side_; // frames on either side that a spectrum is the mean of
    float voiced_;        // salience that counts as voice
    std::vector<Tap> taps_;
    std::vector<std::uint32_t> begins_; // [steps + 1]
    std::vector<float> grid_hz_;        // [steps]
    std::vector<float> excess_;         // [kMaxFrames][bins] log2(1 + power / floor)
    std::vector<float> peaks_;          // [kMaxFrames][bins] excess over its surroundings, may be negative
    std::vector<float> salience_;       // [kMaxFrames][steps]
    std::vector<std::int8_t> back_;     // [kMaxFrames][steps]
    std::vector<float> best_;           // [2][steps]
    std::vector<std::uint16_t> path_;   // [kMaxFrames]
    std::vector<float> path_salience_;  // [kMaxFrames]
    std::vector<float> f0_;             // [kMaxFrames]
    std::vector<float> scratch_;        // [kMaxFrames]
    std::vector<float> loudness_;       // [kMaxFrames]
    dsp::ModulationSpectrum modulation_;
};

} // namespace quietpass
