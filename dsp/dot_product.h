// Σ a[i]·b[i] in a fixed order of additions: sixteen running sums, so that compilers can use vector
// instructions and every machine still gives the same bits. count must be a multiple of 8.
#pragma once

#include <cstddef>
#include <cstring>

namespace quietpass::dsp {

inline float dot_product(const float* a, const float* b, std::size_t count) noexcept {
    using Lane4 = float __attribute__((vector_size(16)));
    const auto load = [](const float* from) {
        Lane4 lanes;
        std::memcpy(&lanes, from, sizeof lanes);
        return lanes;
    };
    Lane4 sum0{};
    Lane4 sum1{};
    Lane4 sum2{};
    Lane4 sum3{};
    std::size_t i = 0;
    for (; i + 16 <= count; i += 16) {
        sum0 += load(a + i) * load(b + i);
        sum1 += load(a + i + 4) * load(b + i + 4);
        sum2 += load(a + i + 8) * load(b + i + 8);
        sum3 += load(a + i + 12) * load(b + i + 12);
    }
    if (i < count) {
        sum0 += load(a + i) * load(b + i);
        sum1 += load(a + i + 4) * load(b + i + 4);
    }
    const Lane4 sum = (sum0 + sum1) + (sum2 + sum3);
    return (sum[0] + sum[1]) + (sum[2] + sum[3]);
}

} // namespace quietpass::dsp
