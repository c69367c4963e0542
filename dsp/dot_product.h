// Sums of products in a fixed order of additions: the same bits with and without wide vector registers.
#pragma once

#include <cstddef>

namespace quietpass::dsp {

// Σ a[i]·b[i]. count: a multiple of 8.
float dot_product(const float* a, const float* b, std::size_t count) noexcept;

// out[n] = Σ a[i]·b[n·stride + i] for n within 0 … outputs − 1, bit for bit what dot_product() gives. count:
// a multiple of 8; outputs: a multiple of 4. Uses AVX where the processor has it.
void dot_products(const float* a, const float* b, std::size_t stride, std::size_t count, std::size_t outputs,
                  float* out) noexcept;

} // namespace quietpass::dsp
