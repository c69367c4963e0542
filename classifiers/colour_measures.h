// Cepstral means and spreads of a sound over its strong frames. Mel powers are taken over the floor and held
// within 35 dB of the frame's strongest band, so that neither loudness nor the floor's rest colours them.
// Allocates in the constructor only.
#pragma once

#include <array>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/sound_frames.h"
#include "dsp/filter_bank.h"
#include "dsp/mfcc.h"

namespace quietpass {

class ColourMeasures {
  public:
    ColourMeasures();
    void process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    static constexpr std::size_t kCoefficients = 13; // the first, overall level, is not used

    dsp::FilterBank mel_;
    dsp::Mfcc mfcc_;
    std::vector<float> bands_;
    std::array<float, kCoefficients> cepstrum_{};
};

} // namespace quietpass
