// Σ a[i]·b[i] in a fixed order of additions. count must be a multiple of 8.
#pragma once

#include <cstddef>

#include "dsp/lanes.h"

namespace quietpass::dsp {

inline float dot_product(const float* a, const float* b, std::size_t count) noexcept {
    Lane4 even{};
    Lane4 odd{};
    for (std::size_t i = 0; i < count; i += 8) {
        even += load4(a + i) * load4(b + i);
        odd += load4(a + i + 4) * load4(b + i + 4);
    }
    return sum_of(even + odd);
}

// Four of them with the same `a`: out[n] = Σ a[i]·b[n·stride + i], bit for bit what dot_product() gives.
inline void dot_products4(const float* a, const float* b, std::size_t stride, std::size_t count,
                          float* out) noexcept {
    Lane4 even[4] = {};
    Lane4 odd[4] = {};
    for (std::size_t i = 0; i < count; i += 8) {
        const Lane4 a_even = load4(a + i);
        const Lane4 a_odd = load4(a + i + 4);
        for (std::size_t n = 0; n < 4; ++n) {
            even[n] += a_even * load4(b + n * stride + i);
            odd[n] += a_odd * load4(b + n * stride + i + 4);
        }
    }
    for (std::size_t n = 0; n < 4; ++n) out[n] = sum_of(even[n] + odd[n]);
}

} // namespace quietpass::dsp
