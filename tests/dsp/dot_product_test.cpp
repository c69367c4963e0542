#include "dsp/dot_product.h"

#include <catch2/catch.hpp>

#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

TEST_CASE("many sums of products, wide registers or not, are each the one sum, bit for bit") {
    const std::size_t count = GENERATE(8, 16, 136);
    const std::size_t stride = GENERATE(1, 3, 12);
    const std::vector<float> taps = signals::noise(count, 1.0, 3);
    const std::vector<float> input = signals::noise(count + 20 * stride, 1.0, 4);
    std::vector<float> out(20);
    dot_products(taps.data(), input.data(), stride, count, out.size(), out.data());
    for (std::size_t n = 0; n < out.size(); ++n)
        CHECK(out[n] == dot_product(taps.data(), &input[n * stride], count));
}

TEST_CASE("a sum of products is the sum of the products") {
    const std::vector<float> a = signals::noise(1000, 1.0, 5);
    const std::vector<float> b = signals::noise(1000, 1.0, 6);
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += static_cast<double>(a[i]) * static_cast<double>(b[i]);
    CHECK(dot_product(a.data(), b.data(), a.size()) == Approx(sum).margin(1e-4));
}
