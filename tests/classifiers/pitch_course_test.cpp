#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "classifiers/pitch_course.h"
#include "dsp/analysis.h"

using namespace quietpass;

namespace {

std::vector<float> course(std::size_t frames, double (*octaves)(double)) {
    std::vector<float> f0;
    for (std::size_t i = 0; i < frames; ++i) {
        const double x = 2.0 * static_cast<double>(i) / static_cast<double>(frames - 1) - 1.0;
        f0.push_back(static_cast<float>(200.0 * std::exp2(octaves(x))));
    }
    return f0;
}

} // namespace

TEST_CASE("an arch of a third of an octave reads as such, without slope or wander") {
    const PitchArch arch = arch_of(course(101, [](double x) { return (1.0 - x * x) / 3.0; }));
    CHECK(arch.arch_oct == Approx(1.0 / 3.0).margin(1e-4));
    CHECK(arch.slope_oct_s == Approx(0.0).margin(1e-4));
    CHECK(arch.wander_oct == Approx(0.0).margin(1e-4));
    CHECK(arch.range_oct == Approx(1.0 / 3.0).margin(1e-4));
}

TEST_CASE("a rise of half an octave over a second reads as 0.5 oct/s") {
    const auto frames = static_cast<std::size_t>(dsp::kFrameRateHz) + 1;
    const double seconds = static_cast<double>(frames - 1) / dsp::kFrameRateHz;
    const PitchArch arch = arch_of(course(frames, [](double x) { return 0.25 * x; }));
    CHECK(arch.slope_oct_s == Approx(0.5 / seconds).epsilon(1e-4));
    CHECK(arch.arch_oct == Approx(0.0).margin(1e-4));
}

TEST_CASE("fewer than three pitches make no arch") {
    const std::vector<float> f0{0.0F, 200.0F, 0.0F, 210.0F};
    CHECK(arch_of(f0).slope_oct_s == 0.0);
    CHECK(arch_of(f0).range_oct == 0.0);
}

TEST_CASE("no pitch is no stretch") {
    const std::vector<float> f0(5, 0.0F);
    CHECK(longest_steady(f0) == 0);
}

TEST_CASE("the longest steady stretch ends where the pitch has left 1 %") {
    std::vector<float> f0(20, 500.0F);
    f0.insert(f0.end(), 30, 504.0F);
    f0.insert(f0.end(), 10, 507.0F);
    CHECK(longest_steady(f0) == 50);
}
