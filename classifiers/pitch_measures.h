// Measures of pitch and harmonics of a sound. Allocates in the constructor only.
#pragma once

#include <vector>

#include "classifiers/measures.h"
#include "classifiers/pitch_course.h"
#include "classifiers/sound_frames.h"
#include "classifiers/whitened_frame.h"
#include "dsp/pitch.h"
#include "dsp/pitch_path.h"

namespace quietpass {

class PitchMeasures {
  public:
    PitchMeasures();
    void process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    // How the harmonics of one frame stand out; levels in dB over their surroundings.
    struct Harmonics {
        float tone_db = 0.0F;
        float odd_share = 0.0F;
        int standing_out = 0;
        int strongest = 0;
    };
    Harmonics harmonics_at(float f0_hz) const noexcept;
    PitchRun course(std::size_t count, MeasureRow& row) noexcept;

    dsp::PitchEstimator estimator_;
    dsp::PitchPath path_;
    WhitenedFrame whitened_;
    std::vector<dsp::PitchFrame> found_; // [frames]
    std::vector<dsp::PitchPoint> points_;
    std::vector<float> f0_; // [frames], 0 where there is no pitch
    std::vector<float> tone_, harmonicity_, odd_, standing_, strongest_, peaks_, scratch_;
};

} // namespace quietpass
