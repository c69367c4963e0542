#include "daemon/health/second_spectrum.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace quietpass;

namespace {

SecondFigures figures_of(double rate_hz, std::initializer_list<std::pair<double, double>> tones) {
    SecondSpectrum spectrum(rate_hz);
    std::vector<float> samples(static_cast<std::size_t>(rate_hz));
    for (std::size_t i = 0; i < samples.size(); ++i) {
        double value = 0.0;
        for (const auto& [hz, amplitude] : tones) {
            value +=
                amplitude * std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / rate_hz + hz);
        }
        samples[i] = static_cast<float>(value);
    }
    spectrum.take(samples);
    SecondFigures figures;
    REQUIRE(spectrum.end_second(figures));
    return figures;
}

} // namespace

TEST_CASE("A tone's level stands in its bands, at any sample rate") {
    for (const double rate_hz : {16000.0, 44100.0, 48000.0, 96000.0}) {
        const SecondFigures low = figures_of(rate_hz, {{40.0, 0.1}});
        CHECK(low.rumble_db == Approx(-20.0).margin(0.1));
        CHECK(low.band_db < -80.0);
        const SecondFigures middle = figures_of(rate_hz, {{440.0, 0.1}});
        CHECK(middle.body_db == Approx(-20.0).margin(0.1));
        CHECK(middle.band_db == Approx(-20.0).margin(0.1));
        CHECK(middle.high_db < -80.0);
        const SecondFigures high = figures_of(rate_hz, {{5000.0, 0.1}});
        CHECK(high.high_db == Approx(-20.0).margin(0.1));
        CHECK(high.body_db < -80.0);
    }
}

TEST_CASE("Mains lines are told from other tones, at 50 and at 60 Hz and a little off") {
    for (const double mains_hz : {49.9, 50.0, 60.0, 60.1}) {
        const SecondFigures hum = figures_of(48000.0, {{mains_hz, 0.1},
                                                       {2 * mains_hz, 0.05},
                                                       {3 * mains_hz, 0.05},
                                                       {5 * mains_hz, 0.03},
                                                       {7 * mains_hz, 0.02},
                                                       {9 * mains_hz, 0.02},
                                                       {4321.0, 0.01}});
        CHECK(hum.hum_db == Approx(-18.0).margin(0.5));
        CHECK(hum.hum_db - hum.but_hum_db > 16.0); // lines leak between bins
        CHECK(hum.hum_lines == 6);
    }
    const SecondFigures voice = figures_of(48000.0, {{135.0, 0.1}, {223.0, 0.05}});
    CHECK(voice.hum_db < -45.0);
}

TEST_CASE("A second with too few samples has no levels") {
    SecondSpectrum spectrum(48000.0);
    const std::vector<float> samples(8191, 0.1F);
    spectrum.take(samples);
    SecondFigures figures;
    CHECK_FALSE(spectrum.end_second(figures));
    spectrum.take(samples);
    spectrum.take(std::span(samples).first(1));
    CHECK(spectrum.end_second(figures));
}
