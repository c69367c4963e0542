// Four floats side by side, for the inner loops. Sums run in a fixed number of lanes and are joined in a
// fixed order, so that vector instructions are used and every machine still gives the same bits. GCC and
// Clang vector extensions.
#pragma once

#include <cstdint>
#include <cstring>

namespace quietpass::dsp {

using Lane4 = float __attribute__((vector_size(16)));
using IntLane4 = std::int32_t __attribute__((vector_size(16)));

// Eight: two registers of four, or one where a function was built for AVX. Passed by reference only, for its
// place in registers differs.
using Lane8 = float __attribute__((vector_size(32)));

[[gnu::always_inline]] inline void load8(const float* from, Lane8& lanes) noexcept {
    std::memcpy(&lanes, from, sizeof lanes);
}

inline Lane4 load4(const float* from) noexcept {
    Lane4 lanes;
    std::memcpy(&lanes, from, sizeof lanes);
    return lanes;
}

inline void store4(float* to, Lane4 lanes) noexcept {
    std::memcpy(to, &lanes, sizeof lanes);
}

inline Lane4 all4(float value) noexcept {
    return Lane4{value, value, value, value};
}

inline Lane4 larger4(Lane4 a, Lane4 b) noexcept {
    return a > b ? a : b;
}
inline Lane4 smaller4(Lane4 a, Lane4 b) noexcept {
    return a < b ? a : b;
}

inline float sum_of(Lane4 lanes) noexcept {
    return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
}

inline float largest_of(Lane4 lanes) noexcept {
    const float left = lanes[0] > lanes[1] ? lanes[0] : lanes[1];
    const float right = lanes[2] > lanes[3] ? lanes[2] : lanes[3];
    return left > right ? left : right;
}

// Rows become columns.
inline void transpose4(Lane4 (&rows)[4]) noexcept {
    const Lane4 low01 = __builtin_shufflevector(rows[0], rows[1], 0, 4, 1, 5);
    const Lane4 low23 = __builtin_shufflevector(rows[2], rows[3], 0, 4, 1, 5);
    const Lane4 high01 = __builtin_shufflevector(rows[0], rows[1], 2, 6, 3, 7);
    const Lane4 high23 = __builtin_shufflevector(rows[2], rows[3], 2, 6, 3, 7);
    rows[0] = __builtin_shufflevector(low01, low23, 0, 1, 4, 5);
    rows[1] = __builtin_shufflevector(low01, low23, 2, 3, 6, 7);
    rows[2] = __builtin_shufflevector(high01, high23, 0, 1, 4, 5);
    rows[3] = __builtin_shufflevector(high01, high23, 2, 3, 6, 7);
}

} // namespace quietpass::dsp
