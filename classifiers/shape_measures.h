// Measures of the shape of a sound's spectrum, over its strong frames, 125 Hz to 8 kHz, floor taken off.
// Allocates in the constructor only.
#pragma once

#include <vector>

#include "classifiers/measures.h"
#include "classifiers/sound_frames.h"
#include "dsp/filter_bank.h"

namespace quietpass {

class ShapeMeasures {
  public:
    ShapeMeasures();
    void process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    void frame_by_frame(const SoundFrames& frames, MeasureRow& row) noexcept;
    void mean_spectrum(const SoundFrames& frames, MeasureRow& row) noexcept;

    dsp::FilterBank envelope_bands_;                                                       // mel
    std::vector<float> centroid_, bandwidth_, rolloff_, flatness_, entropy_, flux_, peak_; // [frames]
    std::vector<float> mean_;                                                              // [bins]
    std::vector<float> envelope_;                                                          // [bands]
};

} // namespace quietpass
