// Base-2 logarithm of four positive, normal floats. Absolute error below 2e-7 plus the rounding of the
// result: the atanh series on a mantissa within √½ … √2.
#pragma once

#include <cstring>

#include "dsp/lanes.h"

namespace quietpass::dsp {

inline Lane4 log2_approximation(Lane4 x) noexcept {
    constexpr std::int32_t kSqrtHalf = 0x3F3504F3;
    IntLane4 bits;
    std::memcpy(&bits, &x, sizeof bits);
    const IntLane4 offset = bits - kSqrtHalf;
    const IntLane4 exponent = offset >> 23;
    const IntLane4 mantissa_bits = (offset & 0x007FFFFF) + kSqrtHalf;
    Lane4 mantissa;
    std::memcpy(&mantissa, &mantissa_bits, sizeof mantissa);
    const Lane4 u = (mantissa - 1.0F) / (mantissa + 1.0F);
    const Lane4 u2 = u * u;
    constexpr float kScale = 2.88539008F; // 2 / ln 2
    return __builtin_convertvector(exponent, Lane4) +
           kScale * u * (1.0F + u2 * (1.0F / 3.0F + u2 * (0.2F + u2 * (1.0F / 7.0F))));
}

} // namespace quietpass::dsp
