#include "classifiers/tuning/lossy.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "classifiers/tuning/clip.h"
#include "classifiers/tuning/random.h"
#include "classifiers/tuning/room.h"

using namespace quietpass::tuning;

namespace {

std::vector<float> tone(double hz, double level) {
    std::vector<float> out(16000);
    for (std::size_t i = 0; i < out.size(); ++i)
        out[i] = static_cast<float>(
            level * std::sin(2 * std::numbers::pi * hz * static_cast<double>(i) / kClipRateHz));
    return out;
}

double level_db(const std::vector<float>& samples) {
    return 20 * std::log10(rms_of(samples.data() + 1000, samples.size() - 2000) + 1e-12);
}

} // namespace

TEST_CASE("Lossy coding keeps a tone within half a step and its length") {
    std::vector<float> samples = tone(1000, 0.5);
    const double before_db = level_db(samples);
    coded_with_loss(samples, {20, 2, 6000});
    CHECK(samples.size() == 16000);
    CHECK(std::abs(level_db(samples) - before_db) <= 1.0);
}

TEST_CASE("Lossy coding takes away what is far under its neighbours, and the top") {
    std::vector<float> hidden = tone(1000, 0.5);
    const std::vector<float> soft = tone(1150, 0.5 * std::pow(10.0, -40.0 / 20));
    for (std::size_t i = 0; i < hidden.size(); ++i) hidden[i] += soft[i];
    std::vector<float> alone = tone(1000, 0.5);
    coded_with_loss(hidden, {20, 0.01, 8000});
    coded_with_loss(alone, {20, 0.01, 8000});
    double rest = 0.0;
    for (std::size_t i = 1000; i < 15000; ++i)
        rest += std::pow(static_cast<double>(hidden[i]) - static_cast<double>(alone[i]), 2);
    // Of the soft tone -40 dB re the loud one, less than a quarter of its power is left.
    CHECK(rest / 14000 < 0.25 * std::pow(rms_of(soft.data(), soft.size()), 2));

    std::vector<float> high = tone(6500, 0.5);
    coded_with_loss(high, {20, 2, 5000});
    CHECK(level_db(high) < -60);
}

TEST_CASE("Lossy coding leaves noise as loud as it was, but not the same") {
    Random random(3);
    std::vector<float> noise(16000);
    for (float& x : noise) x = 0.1F * random.white();
    std::vector<float> coded = noise;
    coded_with_loss(coded, any_coding_loss(random));
    CHECK(level_db(coded) == Approx(level_db(noise)).margin(4.0));
    CHECK(coded != noise);
    std::vector<float> silence(100, 0.0F);
    coded_with_loss(silence, {20, 2, 6000});
    CHECK(silence == std::vector<float>(100, 0.0F));
}
