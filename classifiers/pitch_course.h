// What a pitch does over a sound: runs, slope, arch, jitter, steadiness.
//
// in: one f0 a frame (dsp::kFrameRateHz), 0 where there is none. Pure functions on up to 512 frames;
// noexcept, no allocation.
#pragma once

#include <cstddef>
#include <span>

namespace quietpass {

struct PitchRun {
    std::size_t first = 0;
    std::size_t count = 0; // frames, bridged ones included; 0: there is none
};

// The longest stretch in which the pitch moves by less than 0.08 octave a frame; holes of up to two frames
// are bridged when the pitch goes on within 0.15 octave. `breaks` counts the ends of all stretches of 3
// frames or more but the last.
PitchRun longest_run(std::span<const float> f0_hz, std::size_t& breaks) noexcept;

// A parabola laid through log2 of the pitch over a stretch, holes left out.
struct PitchArch {
    double slope_oct_s = 0.0;
    double arch_oct = 0.0;   // middle of the parabola over the mean of its two ends
    double wander_oct = 0.0; // root mean square distance from it
    double range_oct = 0.0;  // highest over lowest pitch
};
PitchArch arch_of(std::span<const float> f0_hz) noexcept;

// Mean distance, in percent, of a frame's pitch from the mean of its two neighbours, over all three-frame
// stretches.
double jitter_percent(std::span<const float> f0_hz) noexcept;

// Frames of the longest stretch in which highest and lowest pitch lie within 1 %, holes ending it.
std::size_t longest_steady(std::span<const float> f0_hz) noexcept;

} // namespace quietpass
