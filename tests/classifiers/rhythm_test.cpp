#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "classifiers/rhythm.h"
#include "dsp/analysis.h"

using namespace quietpass;

namespace {

std::vector<float> swaying(double per_second, double depth_db, std::size_t frames = 188) {
    std::vector<float> level;
    for (std::size_t i = 0; i < frames; ++i) {
        const double t = static_cast<double>(i) / dsp::kFrameRateHz;
        level.push_back(
            static_cast<float>(20.0 + depth_db * std::sin(2.0 * std::numbers::pi * per_second * t)));
    }
    return level;
}

} // namespace

TEST_CASE("a level that sways four times a second repeats after a quarter of one") {
    const Repetition repetition = repetition_of(swaying(4.0, 6.0));
    CHECK(repetition.period_s == Approx(0.25).margin(0.02));
    CHECK(repetition.strength > 0.8);
}

TEST_CASE("a steady level and one lone hump don't repeat") {
    CHECK(repetition_of(std::vector<float>(188, 12.0F)).strength == 0.0);
    std::vector<float> hump(188, 0.0F);
    for (std::size_t i = 60; i < 120; ++i) hump[i] = 20.0F;
    CHECK(repetition_of(hump).period_s == 0.0);
}

TEST_CASE("depth is the effective value of fast swaying and blind to slow") {
    CHECK(modulation_depth_db(swaying(6.0, 4.0)) == Approx(4.0 / std::numbers::sqrt2).epsilon(0.1));
    CHECK(modulation_depth_db(swaying(0.2, 4.0)) < 0.3);
}
