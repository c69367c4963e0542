#include "dsp/spectral_measures.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "dsp/log2_approximation.h"

using namespace quietpass::dsp;

TEST_CASE("one line has its place as centroid, no width and no entropy") {
    std::vector<float> power(513, 0.0F);
    power[100] = 2.0F;
    const SpectralShape shape = spectral_shape(power, {4, 512}, 10.0);
    CHECK(shape.centroid_hz == Approx(1000.0));
    CHECK(shape.bandwidth_hz == Approx(0.0).margin(0.5));
    CHECK(shape.rolloff_hz == Approx(1000.0));
    CHECK(shape.entropy == Approx(0.0).margin(1e-6));
    CHECK(shape.flatness < 1e-15);
    CHECK(shape.peak_share == Approx(1.0));
}

TEST_CASE("a flat spectrum has its middle as centroid, flatness one and entropy one") {
    const std::vector<float> power(513, 0.37F);
    const SpectralShape shape = spectral_shape(power, {10, 110}, 10.0);
    CHECK(shape.centroid_hz == Approx(600.0));
    CHECK(shape.bandwidth_hz == Approx(10.0 * std::sqrt((101.0 * 101.0 - 1.0) / 12.0)).epsilon(1e-5));
    CHECK(shape.rolloff_hz == Approx(950.0)); // the 86th of 101 bins
    CHECK(shape.flatness == Approx(1.0).epsilon(1e-6));
    CHECK(shape.entropy == Approx(1.0).epsilon(1e-6));
}

TEST_CASE("the parabola finds a peak between two bins") {
    std::vector<float> power(64, 1e-6F);
    for (std::size_t k = 20; k < 30; ++k) {
        power[k] = std::exp(-std::pow(static_cast<float>(k) - 24.3F, 2.0F));
    }
    CHECK(spectral_shape(power, {0, 63}, 1.0).peak_hz == Approx(24.3).margin(1e-3));
}

TEST_CASE("ranges of any length and place give what a plain sum gives") {
    std::vector<float> power(200);
    for (std::size_t k = 0; k < power.size(); ++k) power[k] = 1.0F + std::sin(static_cast<float>(k * k));
    const std::size_t first = GENERATE(0, 1, 5, 64);
    const std::size_t length = GENERATE(1, 2, 3, 4, 5, 63, 64, 65, 100);
    const BinRange range{first, first + length - 1};
    double sum = 0.0;
    double moment = 0.0;
    for (std::size_t k = range.first; k <= range.last; ++k) {
        sum += static_cast<double>(power[k]);
        moment += static_cast<double>(k) * static_cast<double>(power[k]);
    }
    CHECK(band_power(power, range) == Approx(sum).epsilon(1e-5));
    CHECK(centroid_hz(power, range, 1.0) == Approx(moment / sum).epsilon(1e-5));
    const double rolloff = rolloff_hz(power, range, 1.0, 1.0);
    CHECK(rolloff <= static_cast<double>(range.last));
    CHECK(rolloff >= static_cast<double>(range.first));
}

TEST_CASE("silence gives zeros, not NaN") {
    const std::vector<float> power(513, 0.0F);
    const SpectralShape shape = spectral_shape(power, {4, 512}, 10.0);
    CHECK(shape.centroid_hz == 0.0);
    CHECK(shape.flatness == 0.0);
    CHECK(shape.entropy == 0.0);
    CHECK(flux(power, power, {4, 512}) == 0.0);
    CHECK(rolloff_hz(power, {4, 512}, 10.0) == 0.0);
}

TEST_CASE("flux is nothing for a louder copy and root two for a spectrum elsewhere") {
    std::vector<float> power(64, 0.0F);
    std::vector<float> louder(64, 0.0F);
    std::vector<float> elsewhere(64, 0.0F);
    for (std::size_t k = 10; k < 20; ++k) {
        power[k] = static_cast<float>(k);
        louder[k] = 100.0F * power[k];
        elsewhere[k + 20] = power[k];
    }
    CHECK(flux(power, louder, {0, 63}) == Approx(0.0).margin(1e-3));
    CHECK(flux(power, elsewhere, {0, 63}) == Approx(std::sqrt(2.0)));
}

TEST_CASE("bins between two frequencies are those whose centres lie there") {
    const BinRange range = bins_between(50.0, 8000.0, 15.625, 513);
    CHECK(range.first == 4);
    CHECK(range.last == 512);
    CHECK(bins_between(-5.0, 1e9, 15.625, 513).last == 512);
    const BinRange none = bins_between(100.0, 101.0, 15.625, 513);
    CHECK(none.first <= none.last);
}

TEST_CASE("the approximate logarithm is right to seven digits over the range of powers") {
    for (float x = 1e-20F; x < 1e6F; x *= 1.01F) {
        const Lane4 log2 = log2_approximation(all4(x));
        REQUIRE(static_cast<double>(log2[0]) ==
                Approx(std::log2(static_cast<double>(x))).margin(1e-6).epsilon(1.2e-7));
    }
}
