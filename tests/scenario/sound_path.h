// The way of a sound to a microphone: distance, the hall's reverberation, the microphone's response.
//
// Reverberation: four combs and two all-passes (M. R. Schroeder, 1962), falling by 60 dB in rt60_s.
#pragma once

#include <span>
#include <vector>

#include "tests/scenario/filters.h"
#include "tests/scenario/scenario.h"
#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

inline constexpr double kSpeedOfSound_m_s = 343.0;

class MicrophoneResponse {
  public:
    MicrophoneResponse(const MicrophoneScene& microphone, double rate_hz);
    void apply(std::span<float> samples) noexcept;

  private:
    std::vector<Biquad> sections_;
    double gain_;
};

// From where a sound is made to a microphone.
double distance_m(const MicrophoneScene& microphone, const Cue& cue);

// Reverberation against the direct sound on the first microphone. The hall is as loud everywhere, so for an
// animal whose place is known it grows with the distance.
double wet_db(const Scenario& scenario, const Cue& cue);

struct PathSettings {
    double direct_gain = 1.0; // against the first microphone's
    double wet_db = kOff;     // reverberation against the direct sound on the first microphone
    double rt60_s = 1.0;
    double low_pass_hz = 0.0; // 0: none
};

// What arrives, tail included; the onset stays at the first sample. `place` makes halls differ between
// microphones.
std::vector<float> arrive(std::span<const float> sound, const PathSettings& path, std::size_t place,
                          const MicrophoneScene& microphone, double rate_hz);

} // namespace quietpass::scenario
