// log2 good to 0.01, for detectors that take hundreds of logarithms a frame. The same bits on every machine
// of one architecture: integer arithmetic and a polynomial, no library call.
//
// x: finite, > 0, normal.
#pragma once

#include <bit>
#include <cstdint>

#include "dsp/lanes.h"

namespace quietpass {

inline float fast_log2(float x) noexcept {
    const auto bits = std::bit_cast<std::uint32_t>(x);
    const auto exponent = static_cast<float>(static_cast<std::int32_t>(bits >> 23U) - 127);
    const float mantissa = std::bit_cast<float>((bits & 0x007FFFFFU) | 0x3F800000U); // 1 … 2
    // Quadratic through log2 at 1, √2 and 2 (computed from the definition).
    return exponent + (-0.35355339F * mantissa + 2.06066017F) * mantissa - 1.70710678F;
}

// Four at once, bit for bit the same.
inline dsp::Lane4 fast_log2(dsp::Lane4 x) noexcept {
    const auto bits = std::bit_cast<dsp::IntLane4>(x);
    const dsp::Lane4 exponent = __builtin_convertvector((bits >> 23) - 127, dsp::Lane4);
    const auto mantissa = std::bit_cast<dsp::Lane4>((bits & 0x007FFFFF) | 0x3F800000);
    return exponent + (-0.35355339F * mantissa + 2.06066017F) * mantissa - 1.70710678F;
}

} // namespace quietpass
