// Finds the steady 1 kHz tone of an acoustic calibrator in a microphone's audio.
//
// in: samples, full scale ±1, in any blocks. out: the tone over the steadiest stretch of steady_s, or a plain
// reason why there is none. A stretch counts when in each of its frames (a sixth of a second) the strongest
// part between 100 Hz and 8 kHz lies at 1 kHz ±2 %, stands 15 dB over all the rest, has less than 5 % of
// harmonics and touches full scale nowhere, and when its level moves by 0.3 dB at most. All are common
// practice; class 1 calibrators keep their level far better than that.
//
// Levels are dB re a full-scale sine. Pure. Not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "dsp/framer.h"
#include "dsp/power_spectrum.h"

namespace quietpass {

struct SteadyTone {
    double start_s = 0.0; // of the stretch, from the first sample
    double end_s = 0.0;
    double level_db = 0.0;
    double frequency_hz = 0.0;
    double spread_db = 0.0;          // highest less lowest level of its frames
    double over_rest_db = 0.0;       // the lowest
    double distortion_percent = 0.0; // harmonics 2 to 5, amplitude; the highest
};

class CalibratorTone {
  public:
    // sample_rate_hz: 16000 or more, else std::invalid_argument; steady_s: 1 to 60.
    CalibratorTone(double sample_rate_hz, double steady_s);

    void process(std::span<const float> samples);
    // Samples were lost: no stretch goes on across.
    void lose(std::int64_t count);

    const std::optional<SteadyTone>& tone() const { return best_; }
    // How long the tone has been there without a break, whether steady or not, seconds.
    double tone_for_s() const;
    // One line without a full stop; what to say when tone() is empty.
    std::string why_not() const;

  private:
    enum Finding : std::size_t { kTone, kClipped, kNothing, kElsewhere, kDistorted, kFindings };
    struct Frame {
        double start_s;
        double level_db;
        double frequency_hz;
        double over_rest_db;
        double distortion_percent;
    };
    Finding examine(std::span<const float> samples, Frame& frame);
    void judge_stretch();

    double rate_hz_;
    double steady_s_;
    double bin_hz_;
    dsp::Framer framer_;
    dsp::PowerSpectrum spectrum_;
    std::vector<float> power_;
    std::int64_t next_sample_ = 0;
    std::int64_t frame_start_ = 0; // of the frame under way
    std::size_t frames_wanted_;
    std::deque<Frame> stretch_; // the latest frames in a row with a tone, frames_wanted_ at most
    std::size_t in_a_row_ = 0;
    std::size_t longest_in_a_row_ = 0;
    double least_spread_db_ = -1.0; // of whole stretches; < 0: there was none
    std::optional<SteadyTone> best_;
    std::array<std::size_t, kFindings> counts_{};
    std::array<Frame, kFindings> latest_{}; // of each finding
};

} // namespace quietpass
