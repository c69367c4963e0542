#include <catch2/catch.hpp>

#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

// The one sound of `what`, laid over quiet pink noise; the longest if there are several.
Sound measured(const Samples& what, double noise_rms = 0.001) {
    Samples samples = pink(16000, 9.0, noise_rms);
    add(samples, what, 16000, 4.0);
    const auto sounds = sounds_in(samples, 16000, {});
    REQUIRE_FALSE(sounds.empty());
    return *std::max_element(sounds.begin(), sounds.end(), [](const Sound& a, const Sound& b) {
        return a.end_s - a.start_s < b.end_s - b.start_s;
    });
}

double even(double) {
    return 1.0;
}

Samples swaying_noise(double per_second) {
    Samples out = noise(16000, 2.5, 0.05, 4);
    for (std::size_t i = 0; i < out.size(); ++i) {
        const double t = static_cast<double>(i) / 16000.0;
        out[i] *= static_cast<float>(0.55 + 0.45 * std::sin(2.0 * std::numbers::pi * per_second * t));
    }
    return out;
}

} // namespace

TEST_CASE("a call of 1.2 s with an arch of a third of an octave measures so") {
    const Sound s = measured(voice(
        16000, 1.2, 0.05,
        [](double x) { return 150.0 * std::exp2((1.0 - (2.0 * x - 1.0) * (2.0 * x - 1.0)) / 3.0); }, even));
    const MeasureRow& m = s.measures;
    CHECK(m[kDurationS] == Approx(1.2).margin(0.08));
    CHECK(m[kVoiceS] == Approx(1.2).margin(0.1));
    CHECK(m[kVoiceShare] > 0.9F);
    CHECK(m[kVoiceF0Hz] == Approx(150.0 * std::exp2(0.75 / 3.0)).epsilon(0.02));
    CHECK(m[kVoiceF0LowHz] >= 150.0F);
    CHECK(m[kVoiceF0HighHz] <= 190.0F);
    CHECK(m[kVoiceArchOct] == Approx(0.33).margin(0.06));
    CHECK(m[kVoiceSlope] == Approx(0.0).margin(0.05));
    CHECK(m[kVoiceRoughDb] < 1.0F);
    CHECK(m[kVoiceHarmonics] >= 8.0F);
    CHECK(m[kFlatness] < 0.1F);
    CHECK(s.f0_hz == m[kVoiceF0Hz]);
}

TEST_CASE("a glide of half an octave a second measures so, up and down") {
    for (const double slope : {0.5, -0.5}) {
        const Sound s = measured(voice(
            16000, 1.0, 0.05, [slope](double x) { return 300.0 * std::exp2(slope * x); }, even));
        CHECK(s.measures[kVoiceSlope] == Approx(slope).margin(0.05));
        CHECK(s.measures[kVoiceArchOct] == Approx(0.0).margin(0.03));
        CHECK(s.measures[kVoiceRangeOct] == Approx(0.5).margin(0.06));
    }
}

TEST_CASE("noise sounds like noise: flat, without pitch") {
    const MeasureRow m = measured(noise(16000, 1.0, 0.05, 7)).measures;
    CHECK(m[kFlatness] > 0.4F);
    CHECK(m[kVoiceShare] < 0.3F);
    CHECK(m[kVoiceS] < 0.3F);
    CHECK(m[kBandsUp] > 0.9F);
    CHECK(m[kShare4k] == Approx(0.5).margin(0.05)); // white: half of all bins lie there
    CHECK(m[kCentroidHz] == Approx(4000.0).epsilon(0.1));
}

TEST_CASE("a steady tone is told from a voice that moves") {
    const MeasureRow horn = measured(voice(
                                         16000, 1.5, 0.05, [](double) { return 440.0; }, even))
                                .measures;
    const MeasureRow moo = measured(voice(
                                        16000, 1.5, 0.05, [](double x) { return 150.0 + 60.0 * x; }, even))
                               .measures;
    CHECK(horn[kVoiceSteadyShare] > 0.9F);
    CHECK(moo[kVoiceSteadyShare] < 0.3F);
}

TEST_CASE("a lone tone near 3 kHz has its peak and its energy there") {
    const MeasureRow m = measured(voice(
                                      16000, 1.0, 0.05, [](double x) { return 3000.0 + 100.0 * x; }, even))
                             .measures;
    CHECK(m[kPeakHz] == Approx(3050.0).margin(40.0));
    CHECK(m[kShare2k] > 0.95F);
    CHECK(m[kTonalBins] > 0.8F);
}

TEST_CASE("a bang rises sharply, a swelling call slowly") {
    Samples bang = noise(16000, 0.6, 0.5, 9);
    for (std::size_t i = 0; i < bang.size(); ++i)
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / 1200.0));
    const MeasureRow m = measured(bang).measures;
    CHECK(m[kRiseDb] > 25.0F);
    CHECK(m[kPeakAt] < 0.25F);
    CHECK(m[kDecayS] > m[kAttackS]);
    const MeasureRow swell = measured(voice(
                                          16000, 1.5, 0.05, [](double x) { return 150.0 + 30.0 * x; },
                                          [](double x) { return std::sin(std::numbers::pi * x); }))
                                 .measures;
    CHECK(swell[kRiseDb] < 15.0F);
    CHECK(swell[kAttackS] > 0.2F);
}

TEST_CASE("ups and downs are measured at their own rate") {
    const MeasureRow speech = measured(swaying_noise(4.5)).measures;
    CHECK(speech[kMod3] > 0.5F);
    CHECK(speech[kMod3] > 3.0F * speech[kMod6]);
    CHECK(speech[kRepeatS] == Approx(1.0 / 4.5).margin(0.03));
    const MeasureRow bleat = measured(swaying_noise(9.0)).measures;
    CHECK(bleat[kMod6] > 0.5F);
    CHECK(bleat[kMod6] > 3.0F * bleat[kMod3]);
}

TEST_CASE("the level over the floor follows the sound, and the level is F-weighted dB re full scale") {
    const auto tone = [](double rms) {
        return voice(
            16000, 1.0, rms, [](double x) { return 1800.0 + 20.0 * x; }, even);
    };
    const Sound loud = measured(tone(0.1));
    const Sound soft = measured(tone(0.01));
    CHECK(loud.measures[kOver1kDb] - soft.measures[kOver1kDb] == Approx(20.0).margin(0.5));
    // A full-scale sine has rms 0.707: 0.1 is 17.0 dB under it.
    CHECK(loud.level_db == Approx(-17.0).margin(0.5));
    CHECK(soft.level_db == Approx(-37.0).margin(0.5));
}

TEST_CASE("a sound's shape is measured nearly the same in noise 10 dB under it") {
    const Samples call =
        voice(16000, 1.2, 0.05, [](double x) { return 140.0 + 50.0 * std::sin(std::numbers::pi * x); });
    const MeasureRow clean = measured(call, 0.0005).measures;
    const MeasureRow noisy = measured(call, 0.016).measures;
    CHECK(noisy[kVoiceS] == Approx(clean[kVoiceS]).epsilon(0.15));
    CHECK(noisy[kVoiceF0Hz] == Approx(clean[kVoiceF0Hz]).epsilon(0.03));
    CHECK(noisy[kVoiceArchOct] == Approx(clean[kVoiceArchOct]).margin(0.06));
    CHECK(noisy[kCentroidHz] == Approx(clean[kCentroidHz]).epsilon(0.2));
    CHECK(noisy[kShare125] == Approx(clean[kShare125]).margin(0.08));
}

TEST_CASE("every measure is finite, whatever the sound") {
    Samples samples(16000 * 12, 0.0F); // digital silence around
    add(samples, noise(16000, 0.3, 0.3), 16000, 3.0);
    add(samples, voice(16000, 0.3, 1e-5, [](double) { return 100.0; }), 16000, 5.0);
    Samples square(8000);
    for (std::size_t i = 0; i < square.size(); ++i) square[i] = (i / 40) % 2 == 0 ? 1.0F : -1.0F;
    add(samples, square, 16000, 7.0);
    samples[16000 * 10] = 1.0F; // a click
    const auto sounds = sounds_in(samples, 16000, {});
    REQUIRE(sounds.size() >= 3);
    for (const Sound& s : sounds) {
        for (std::size_t i = 0; i < kMeasureCount; ++i) {
            INFO(measure_info(i).id);
            CHECK(std::isfinite(s.measures[i]));
        }
    }
}
