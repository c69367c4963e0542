// Power ratio ↔ decibel. 1.0 is 0 dB. Powers at or below 1e-20 read −200 dB, so that silence stays finite.
#pragma once

#include <algorithm>
#include <cmath>

namespace quietpass::dsp {

inline constexpr float kDbPerLog2 = 3.0103F; // of a power twice as large

inline constexpr double kSilentPower = 1e-20;

inline double decibel(double power) {
    return 10.0 * std::log10(std::max(power, kSilentPower));
}
inline double power_from_decibel(double level_db) {
    return std::pow(10.0, level_db / 10.0);
}

} // namespace quietpass::dsp
