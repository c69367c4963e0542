#include "dsp/level_meter.h"

#include <catch2/catch.hpp>
#include <stdexcept>

#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

TEST_CASE("a full-scale sine at 1 kHz reads 0 dB with every weighting") {
    const Weighting weighting = GENERATE(Weighting::kA, Weighting::kC, Weighting::kZ);
    const double rate = GENERATE(8000.0, 16000.0, 44100.0, 48000.0, 192000.0);
    LevelMeter meter(rate, weighting, TimeWeighting::kFast);
    meter.process(signals::sine(1000.0, rate, static_cast<std::size_t>(2.0 * rate)));
    CHECK(meter.level_db() == Approx(0.0).margin(0.03));
    CHECK(meter.equivalent_db() == Approx(0.0).margin(0.03));
    CHECK(meter.exposure_db() == Approx(10.0 * std::log10(2.0)).margin(0.03));
    CHECK(meter.duration_s() == Approx(2.0));
}

TEST_CASE("F decays by 34.7 dB a second and S by 4.34") {
    const auto [weighting, decay] =
        GENERATE(table<TimeWeighting, double>({{TimeWeighting::kFast, 34.7}, {TimeWeighting::kSlow, 4.34}}));
    LevelMeter meter(48000.0, Weighting::kZ, weighting);
    meter.process(signals::sine(1000.0, 48000.0, 48000 * 5));
    const double before = meter.level_db();
    meter.process(std::vector<float>(48000, 0.0F));
    CHECK(before - meter.level_db() == Approx(decay).margin(0.05));
}

TEST_CASE("the levels are the same to the bit however the samples are cut") {
    const std::vector<float> samples = signals::noise(48000, 0.1);
    LevelMeter whole(48000.0, Weighting::kA, TimeWeighting::kFast);
    LevelMeter cut(48000.0, Weighting::kA, TimeWeighting::kFast);
    whole.process(samples);
    for (std::size_t start = 0; start < samples.size(); start += 160) cut.process({&samples[start], 160});
    CHECK(whole.level_db() == cut.level_db());
    CHECK(whole.maximum_db() == cut.maximum_db());
    CHECK(whole.equivalent_db() == cut.equivalent_db());
}

TEST_CASE("clear starts a new measurement and silence stays finite") {
    LevelMeter meter(48000.0, Weighting::kZ, TimeWeighting::kFast);
    CHECK(meter.level_db() == -200.0);
    CHECK(meter.equivalent_db() == -200.0);
    meter.process(signals::sine(1000.0, 48000.0, 48000));
    meter.clear();
    meter.process(std::vector<float>(48000, 0.0F));
    CHECK(meter.equivalent_db() == -200.0);
    CHECK(meter.maximum_db() == Approx(0.0).margin(0.05)); // the running level goes on
}

TEST_CASE("a weighting at an unusable rate is refused") {
    CHECK_THROWS_AS(WeightingFilter(Weighting::kA, 4000.0), std::invalid_argument);
    CHECK_THROWS_AS(WeightingFilter(Weighting::kA, std::nan("")), std::invalid_argument);
}
