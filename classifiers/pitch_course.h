// What a pitch does over a sound: slope, arch, steadiness.
//
// in: one f0 a frame (dsp::kFrameRateHz), 0 where there is none. Pure functions on up to 512 frames;
// noexcept, no allocation.
#pragma once

#include <cstddef>
#include <span>

namespace quietpass {

// A parabola laid through log2 of the pitch over a stretch, holes left out.
struct PitchArch {
    double slope_oct_s = 0.0;
    double arch_oct = 0.0;   // middle of the parabola over the mean of its two ends
    double wander_oct = 0.0; // root mean square distance from it
    double range_oct = 0.0;  // highest over lowest pitch
};
PitchArch arch_of(std::span<const float> f0_hz) noexcept;

// Frames of the longest stretch in which highest and lowest pitch lie within 1 %, holes ending it.
std::size_t longest_steady(std::span<const float> f0_hz) noexcept;

} // namespace quietpass
