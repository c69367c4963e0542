#include "daemon/bundles/spectrogram_png.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>

#include "daemon/failure.h"
#include "tests/picture.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

// Two seconds of 16 kHz: nothing, then a tone from 1.0 to 1.5 s.
std::vector<float> tone(double hz) {
    std::vector<float> samples(32000, 0.0F);
    for (std::size_t i = 16000; i < 24000; ++i) {
        samples[i] = static_cast<float>(
            0.3 * std::sin(2.0 * std::numbers::pi * hz / 16000.0 * static_cast<double>(i)));
    }
    return samples;
}

SpectrogramOf two_seconds() {
    return {"box-1, 2026-03-02 06:10:30 America/Denver, passage 12, call 4",
            {"head"},
            16000.0,
            {{1.0, 1.5}},
            true};
}

} // namespace

TEST_CASE("A tone is a dark line at its frequency and its time, and a mark is above it") {
    const std::string png = spectrogram_png(two_seconds(), std::vector<std::vector<float>>{tone(2000.0)});
    if (const char* to = std::getenv("QUIETPASS_PICTURES")) {
        std::ofstream(std::string(to) + "/spectrogram.png", std::ios::binary) << png;
    }
    const Picture picture = picture_of(png);
    // The plot is 980 by 320 from (80, 58) on: 2 kHz of 8 is a quarter up, 1.25 s of 2 is 5/8 along.
    const int x = 80 + 980 * 5 / 8;
    CHECK(picture.darkest(x, 60, 376) == Approx(58 + 240).margin(4));
    CHECK(picture.at(x, 58 + 240) < 60);
    CHECK(picture.at(80 + 980 / 4, 58 + 240) > 250);
    CHECK(picture.at(x, 58 - 7) < 60);
    CHECK(picture.at(80 + 980 / 4, 58 - 7) > 250);
}

TEST_CASE("Each microphone has a panel, and the same clip gives the same bytes") {
    SpectrogramOf what = two_seconds();
    what.microphones = {"head", "race"};
    const std::vector<std::vector<float>> both = {tone(1000.0), tone(4000.0)};
    const std::string png = spectrogram_png(what, both);
    CHECK(png == spectrogram_png(what, both));
    const Picture one = picture_of(spectrogram_png(two_seconds(), std::span(both).first(1)));
    CHECK(picture_of(png).height > one.height + 320);
}

TEST_CASE("A clip without a sample can't be drawn, in one line") {
    CHECK_THROWS_AS(spectrogram_png(two_seconds(), std::vector<std::vector<float>>{{}}), Failure);
}
