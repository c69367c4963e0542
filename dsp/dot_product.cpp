#include "dsp/dot_product.h"

#include "dsp/lanes.h"

namespace quietpass::dsp {

namespace {

// Eight lanes are two registers of four, or one of AVX: the same sums either way.
[[gnu::always_inline]] inline float sum_of_halves(const Lane8& lanes) noexcept {
    return sum_of(__builtin_shufflevector(lanes, lanes, 0, 1, 2, 3) +
                  __builtin_shufflevector(lanes, lanes, 4, 5, 6, 7));
}

// Four outputs share each load of `a`.
[[gnu::always_inline]] inline void four_at_a_time(const float* a, const float* b, std::size_t stride,
                                                  std::size_t count, std::size_t outputs,
                                                  float* out) noexcept {
    for (std::size_t n = 0; n < outputs; n += 4, b += 4 * stride) {
        Lane8 sums[4] = {};
        for (std::size_t i = 0; i < count; i += 8) {
            Lane8 left;
            load8(a + i, left);
            for (std::size_t m = 0; m < 4; ++m) {
                Lane8 right;
                load8(b + m * stride + i, right);
                sums[m] += left * right;
            }
        }
        for (std::size_t m = 0; m < 4; ++m) out[n + m] = sum_of_halves(sums[m]);
    }
}

#ifdef __x86_64__
[[gnu::target("avx")]] void with_avx(const float* a, const float* b, std::size_t stride, std::size_t count,
                                     std::size_t outputs, float* out) noexcept {
    four_at_a_time(a, b, stride, count, outputs, out);
}
#endif

} // namespace

float dot_product(const float* a, const float* b, std::size_t count) noexcept {
    Lane8 sum{};
    for (std::size_t i = 0; i < count; i += 8) {
        Lane8 left;
        Lane8 right;
        load8(a + i, left);
        load8(b + i, right);
        sum += left * right;
    }
    return sum_of_halves(sum);
}

void dot_products(const float* a, const float* b, std::size_t stride, std::size_t count, std::size_t outputs,
                  float* out) noexcept {
#ifdef __x86_64__
    // Not by ifunc (target_clones): its resolver runs before the sanitizers are ready.
    if (__builtin_cpu_supports("avx")) return with_avx(a, b, stride, count, outputs, out);
#endif
    four_at_a_time(a, b, stride, count, outputs, out);
}

} // namespace quietpass::dsp
