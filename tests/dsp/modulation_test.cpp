#include "dsp/modulation.h"

#include <catch2/catch.hpp>
#include <numbers>

using namespace quietpass::dsp;

namespace {

std::vector<float> swaying(double rate_hz, std::size_t count) {
    std::vector<float> envelope(count);
    for (std::size_t n = 0; n < count; ++n) {
        const double t = static_cast<double>(n) / kFrameRateHz;
        envelope[n] = static_cast<float>(1.0 + 0.5 * std::sin(2.0 * std::numbers::pi * rate_hz * t));
    }
    return envelope;
}

} // namespace

TEST_CASE("an envelope that sways at 4 Hz is in the speech band and at 9 Hz in the bleat band") {
    ModulationSpectrum modulation;
    modulation.process(swaying(4.0, 125));
    CHECK(modulation.share(3.0, 6.0) > 0.95);
    CHECK(modulation.strongest_hz() == Approx(4.0).margin(0.2));
    CHECK(modulation.depth() == Approx(0.5 / std::numbers::sqrt2).margin(0.02));
    modulation.process(swaying(9.0, 125));
    CHECK(modulation.share(6.0, 12.0) > 0.95);
    CHECK(modulation.share(3.0, 6.0) < 0.05);
}

TEST_CASE("the shares of neighbouring bands add up to one") {
    ModulationSpectrum modulation;
    modulation.process(swaying(5.7, 90));
    CHECK(modulation.share(1.0, 3.0) + modulation.share(3.0, 6.0) + modulation.share(6.0, 100.0) ==
          Approx(1.0).epsilon(1e-9));
}

TEST_CASE("a steady or a very short envelope does not sway") {
    ModulationSpectrum modulation;
    modulation.process(std::vector<float>(100, 2.0F));
    CHECK(modulation.share(3.0, 6.0) == 0.0);
    CHECK(modulation.depth() == 0.0);
    modulation.process(swaying(4.0, 7));
    CHECK(modulation.share(3.0, 6.0) == 0.0);
    CHECK(modulation.strongest_hz() == 0.0);
}
