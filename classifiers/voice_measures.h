// Measures of the voice in a sound, on its harmonics only, so that noise beside them matters little; and of
// how tonal the whole sound is. Measures of a sound without a voice are 0.
//
// Allocates in the constructor only; process() is noexcept. Not thread-safe.
#pragma once

#include <cstddef>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/sound_frames.h"
#include "classifiers/voice_tracker.h"
#include "dsp/modulation.h"

namespace quietpass {

class VoiceMeasures {
  public:
    using Stretch = VoiceTracker::Stretch;

    // The lowest and highest fundamental that is looked for, within 50 … 2600 Hz.
    VoiceMeasures(double f0_low_hz, double f0_high_hz);

    // The frames of `frames` that hold the voice; count 0 where there is none.
    Stretch process(const SoundFrames& frames, MeasureRow& row) noexcept;

  private:
    void measure_tones(const SoundFrames& frames, MeasureRow& row) noexcept;
    void measure_strength(const Stretch& voice, MeasureRow& row) noexcept;
    void measure_pitch(const Stretch& voice, MeasureRow& row) noexcept;
    void measure_harmonics(const Stretch& voice, MeasureRow& row) noexcept;
    void measure_loudness(const Stretch& voice, MeasureRow& row) noexcept;

    VoiceTracker tracker_;
    std::vector<float> scratch_;  // [kMaxFrames]
    std::vector<float> loudness_; // [kMaxFrames] of the harmonics, dB over the floor
    dsp::ModulationSpectrum modulation_;
};

} // namespace quietpass
