#include "dsp/real_fft.h"

#include <catch2/catch.hpp>
#include <stdexcept>

#include "tests/dsp/signals.h"

using namespace quietpass;
using quietpass::dsp::RealFft;

TEST_CASE("the transform of any allowed size equals the definition") {
    const std::size_t size = GENERATE(2, 4, 6, 16, 30, 48, 100, 256, 480);
    RealFft fft(size);
    REQUIRE(fft.bins() == size / 2 + 1);
    const std::vector<float> x = signals::noise(size, 1.0);
    std::vector<std::complex<float>> bins(fft.bins());
    fft.forward(x, bins);
    for (std::size_t k = 0; k < bins.size(); ++k) {
        std::complex<double> sum = 0.0;
        for (std::size_t n = 0; n < size; ++n) {
            const double turn = static_cast<double>(k * n % size) / static_cast<double>(size);
            sum += static_cast<double>(x[n]) * std::polar(1.0, -2.0 * std::numbers::pi * turn);
        }
        CHECK(std::abs(std::complex<double>(bins[k]) - sum) < 1e-5 * static_cast<double>(size));
    }
}

TEST_CASE("the inverse gives back the samples") {
    RealFft fft(1024);
    const std::vector<float> x = signals::noise(1024, 0.3);
    std::vector<std::complex<float>> bins(fft.bins());
    std::vector<float> back(1024);
    fft.forward(x, bins);
    fft.inverse(bins, back);
    for (std::size_t n = 0; n < x.size(); ++n) REQUIRE(back[n] == Approx(x[n]).margin(1e-6));
}

TEST_CASE("odd sizes and sizes that the library would allocate for are refused") {
    for (const std::size_t size : {0, 1, 3, 1023, 14, 22, 2 * 1009}) {
        CHECK_THROWS_AS(RealFft(size), std::invalid_argument);
    }
}
