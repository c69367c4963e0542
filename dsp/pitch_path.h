// The smoothest believable f0 over a stretch of frames: dynamic programming through the frames' pitch
// candidates.
//
// in: up to kMaxFrames frames. out: one point a frame. The path gains each candidate's strength and
// periodicity and pays for leaps in log-frequency (octave jumps most), for switching between voiced and
// unvoiced, and being unvoiced has a fixed price (in the manner of Boersma 1993, section 4). Costs are per
// frame of 16 ms; the defaults are by trial on synthetic calls in noise: over 95 % of frames found at 5 dB in white
// noise, under 3 % of noise frames voiced (tests/dsp). f0 of real squeals is not shown to be good. Allocates in the constructor only. Not thread-safe.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "dsp/pitch.h"

namespace quietpass::dsp {

struct PitchPoint {
    float f0_hz = 0.0F; // 0: no pitch in this frame
    float strength = 0.0F;
    float periodicity = 0.0F;
};

struct PitchPathSettings {
    double unvoiced_strength = 0.2;  // a candidate must be worth more than this
    double periodicity_weight = 0.3; // gain of a candidate: strength + weight · (periodicity − neutral)
    double neutral_periodicity = 0.6;
    double leap_cost_per_octave = 1.5;
    double free_leap_octaves = 0.03; // glides up to this a frame cost nothing
    double switch_cost = 0.4;        // from voiced to unvoiced or back
};

class PitchPath {
  public:
    static constexpr std::size_t kMaxFrames = 512;

    explicit PitchPath(const PitchPathSettings& settings = {});

    // points.size() ≥ frames.size() ≤ kMaxFrames; frames beyond kMaxFrames get no pitch.
    void process(std::span<const PitchFrame> frames, std::span<PitchPoint> points) noexcept;

  private:
    PitchPathSettings settings_;
    std::vector<std::uint8_t> back_; // [kMaxFrames][kPitchCandidates + 1]
};

} // namespace quietpass::dsp
