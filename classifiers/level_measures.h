// Measures of time and level of a sound, in all bands together and in octaves. Allocates in the constructor
// only.
#pragma once

#include <vector>

#include "classifiers/measures.h"
#include "classifiers/sound_frames.h"
#include "dsp/filter_bank.h"

namespace quietpass {

class LevelMeasures {
  public:
    LevelMeasures();
    void process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    void course(const SoundFrames& frames, MeasureRow& row) noexcept;
    void octaves(const SoundFrames& frames, MeasureRow& row) noexcept;
    void surroundings(const SoundFrames& frames, MeasureRow& row) noexcept;

    dsp::FilterBank thirds_;
    std::vector<float> mean_;    // [bins]
    std::vector<float> band_;    // [thirds]
    std::vector<float> steady_;  // [thirds]
    std::vector<float> scratch_; // [frames, surroundings included]
};

// Highest level with the F time weighting (125 ms) within a band, dB re a full-scale sine.
float fast_level_db(const SoundFrames& frames, const dsp::BinRange& band) noexcept;
// The same in the frames first … end - 1 of the history.
float fast_level_db(const FrameHistory& history, FrameIndex first, FrameIndex end,
                    const dsp::BinRange& band) noexcept;

} // namespace quietpass
