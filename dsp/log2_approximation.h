// Base-2 logarithm of positive, normal floats, written so that compilers can vectorise it. Absolute error
// below 2e-7 plus rounding of the result; the atanh series on a mantissa within √½ … √2.
#pragma once

#include <bit>
#include <cstdint>

namespace quietpass::dsp {

inline float log2_approximation(float x) noexcept {
    constexpr std::uint32_t kSqrtHalf = 0x3F3504F3U;
    const std::uint32_t bits = std::bit_cast<std::uint32_t>(x);
    const std::uint32_t offset = bits - kSqrtHalf;
    const auto exponent = static_cast<std::int32_t>(offset) >> 23;
    const float mantissa = std::bit_cast<float>((offset & 0x007FFFFFU) + kSqrtHalf);
    const float u = (mantissa - 1.0F) / (mantissa + 1.0F);
    const float u2 = u * u;
    constexpr float kScale = 2.88539008F; // 2 / ln 2
    return static_cast<float>(exponent) +
           kScale * u * (1.0F + u2 * (1.0F / 3.0F + u2 * (0.2F + u2 * (1.0F / 7.0F))));
}

} // namespace quietpass::dsp
