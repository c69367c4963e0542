#include "daemon/calibration/calibrator_tone.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <stdexcept>

using namespace quietpass;

namespace {

constexpr double kRate_hz = 48000.0;

using Samples = std::vector<float>;

// A tone in a little noise; amplitude as a function of time.
Samples tone(double seconds, double hz, const std::function<double(double)>& amplitude,
             double rate_hz = kRate_hz, double noise = 0.002) {
    std::mt19937 random(2);
    std::normal_distribution<double> normal(0.0, noise);
    Samples samples(static_cast<std::size_t>(seconds * rate_hz));
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double t = static_cast<double>(i) / rate_hz;
        const double value = amplitude(t) * std::sin(2.0 * std::numbers::pi * hz * t) + normal(random);
        samples[i] = static_cast<float>(std::clamp(value, -1.0, 1.0));
    }
    return samples;
}

CalibratorTone heard(const Samples& samples, double rate_hz = kRate_hz, std::size_t block = 4096) {
    CalibratorTone tone(rate_hz, 5.0);
    const std::span<const float> all(samples);
    for (std::size_t at = 0; at < all.size(); at += block) {
        tone.process(all.subspan(at, std::min(block, all.size() - at)));
    }
    return tone;
}

double steady(double) {
    return 0.1;
}

void check_refused(const CalibratorTone& tone, const std::string& said) {
    CHECK_FALSE(tone.tone());
    INFO(tone.why_not());
    CHECK(tone.why_not().find(said) != std::string::npos);
    CHECK(tone.why_not().find('\n') == std::string::npos);
}

} // namespace

TEST_CASE("A calibrator's tone is measured to a hundredth of a decibel at any rate, a little off 1 kHz too") {
    for (const double rate_hz : {16000.0, 44100.0, 48000.0, 96000.0}) {
        for (const double hz : {985.0, 1000.0, 1000.7, 1015.0}) {
            INFO(rate_hz << " " << hz);
            const CalibratorTone found = heard(tone(8.0, hz, steady, rate_hz), rate_hz);
            REQUIRE(found.tone());
            CHECK(found.tone()->level_db == Approx(-20.0).margin(0.02));
            CHECK(found.tone()->frequency_hz == Approx(hz).margin(0.5));
            CHECK(found.tone()->spread_db < 0.1);
            CHECK(found.tone()->distortion_percent < 1.0);
        }
    }
}

TEST_CASE("Only the steady part counts: putting the calibrator on and taking it off is passed by") {
    const CalibratorTone found = heard(tone(14.0, 1000.0, [](double t) {
        if (t < 2.0 || t > 11.0) return 0.0;
        if (t < 3.0) return 0.02 + 0.08 * (t - 2.0); // being seated
        return 0.1;
    }));
    REQUIRE(found.tone());
    CHECK(found.tone()->start_s >= 2.9);
    CHECK(found.tone()->end_s <= 11.1);
    CHECK(found.tone()->level_db == Approx(-20.0).margin(0.02));
}

TEST_CASE("In the noise of a plant, 15 dB under the tone, the level is still right to 0.2 dB") {
    const CalibratorTone found = heard(tone(8.0, 1000.0, steady, kRate_hz, 0.02));
    REQUIRE(found.tone());
    CHECK(found.tone()->level_db == Approx(-20.0).margin(0.2));
}

TEST_CASE("What is no steady tone of 1 kHz is refused in one plain line") {
    check_refused(heard(tone(8.0, 1000.0, [](double) { return 0.0; })), "no steady tone");
    check_refused(heard(tone(8.0, 440.0, steady)), "440 Hz");
    check_refused(heard(tone(3.0, 1000.0, steady)), "only 2.9 s of audio");
    check_refused(heard(tone(8.0, 1000.0, [](double t) { return 0.1 + 0.02 * std::sin(3.0 * t); })),
                  "not steady: its level moves by");
    check_refused(heard(tone(12.0, 1000.0, [](double t) { return std::fmod(t, 3.0) < 2.5 ? 0.1 : 0.0; })),
                  "without a break");
    check_refused(heard(tone(8.0, 1000.0, [](double) { return 3.0; })), "clipped");
}

TEST_CASE("A tone that was clipped below full scale is refused as distorted") {
    Samples samples = tone(8.0, 1000.0, [](double) { return 0.3; });
    for (float& sample : samples) sample = std::clamp(sample, -0.2F, 0.2F);
    check_refused(heard(samples), "distorted");
}

TEST_CASE("Lost samples break the stretch, and blocks don't matter") {
    const Samples samples = tone(8.0, 1000.0, steady);
    const auto reference = heard(samples).tone();
    for (const std::size_t block : {100U, 8191U, 400000U}) {
        const auto found = heard(samples, kRate_hz, block).tone();
        REQUIRE(found);
        CHECK(found->level_db == reference->level_db);
        CHECK(found->start_s == reference->start_s);
    }
    CalibratorTone broken(kRate_hz, 5.0);
    for (int i = 0; i < 4; ++i) {
        broken.process(std::span(samples).first(4 * 48000));
        broken.lose(480);
    }
    check_refused(broken, "without a break");
}

TEST_CASE("A sample rate too low for a calibrator is refused") {
    CHECK_THROWS_AS(CalibratorTone(8000.0, 5.0), std::invalid_argument);
}
