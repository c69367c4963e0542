// How a level goes up and down: repetition and depth.
//
// in: levels in dB, one a frame. Pure, noexcept, no allocation.
#pragma once

#include <span>

namespace quietpass {

struct Repetition {
    double strength = 0.0; // 0 … 1: autocorrelation at the best lag
    double period_s = 0.0; // that lag; 0 when the strength is below 0.2
};

// Best lag within 0.1 … 1 s; at least two periods must fit.
Repetition repetition_of(std::span<const float> level_db) noexcept;

// Standard deviation about a moving average of half a second, dB.
double modulation_depth_db(std::span<const float> level_db) noexcept;

} // namespace quietpass
