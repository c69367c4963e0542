#include <catch2/catch.hpp>

#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kVoiceRateHz = 16000.0;

// Of the sounds that overlap start_s … end_s the one with the strongest voice.
Sound strongest(const Samples& samples, double start_s, double end_s) {
    Sound best;
    for (const Sound& sound : sounds_in(samples, kVoiceRateHz, {})) {
        if (sound.start_s >= end_s || sound.end_s <= start_s) continue;
        if (sound.measures[kVoiceSum] > best.measures[kVoiceSum]) best = sound;
    }
    REQUIRE(best.end_s > 0.0);
    return best;
}

Samples rising_moo(double rms) {
    return voice(kVoiceRateHz, 1.2, rms, [](double x) { return 140.0 * std::exp2(0.5 * x); });
}

} // namespace

TEST_CASE("a rising voice as strong as the noise around it is followed with its pitch, length and slope") {
    for (std::uint32_t seed = 1; seed <= 5; ++seed) {
        CAPTURE(seed);
        Samples samples = pink(kVoiceRateHz, 9.0, 0.02, seed);
        add(samples, rising_moo(0.02), kVoiceRateHz, 5.0);
        const Sound sound = strongest(samples, 5.0, 6.2);
        const MeasureRow& m = sound.measures;
        CHECK(m[kVoiceS] == Approx(1.2).margin(0.2));
        CHECK(m[kVoiceF0Hz] == Approx(140.0 * std::exp2(0.25)).epsilon(0.04));
        CHECK(m[kVoiceSlope] == Approx(0.5 / 1.2).margin(0.12));
        CHECK(m[kVoiceOctaveDown] < 0.8F);
        CHECK(sound.voice_start_s == Approx(5.0).margin(0.12));
        CHECK(sound.voice_end_s == Approx(6.2).margin(0.12));
    }
}

TEST_CASE("a bang right before a call belongs to the sound but not to its voice") {
    Samples samples = pink(kVoiceRateHz, 9.0, 0.002);
    Samples bang = noise(kVoiceRateHz, 0.5, 0.2, 7);
    for (std::size_t i = 0; i < bang.size(); ++i) {
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / (0.12 * kVoiceRateHz)));
    }
    add(samples, bang, kVoiceRateHz, 4.6);
    add(samples, rising_moo(0.03), kVoiceRateHz, 5.0);
    const Sound sound = strongest(samples, 5.0, 6.2);
    CHECK(sound.voice_start_s > 4.85);
    CHECK(sound.voice_start_s < 5.25);
}

TEST_CASE("a voice within a longer noise is also a sound of its own") {
    Samples samples = pink(kVoiceRateHz, 12.0, 0.002);
    Samples rush = noise(kVoiceRateHz, 3.0, 0.02, 3);
    for (std::size_t i = 0; i < rush.size(); ++i) {
        const double t = static_cast<double>(i) / kVoiceRateHz;
        rush[i] *= static_cast<float>(1.0 + 0.6 * std::sin(2.0 * std::numbers::pi * 3.0 * t));
    }
    add(samples, rush, kVoiceRateHz, 5.0);
    add(samples, rising_moo(0.06), kVoiceRateHz, 6.0);
    bool own = false;
    for (const Sound& sound : sounds_in(samples, kVoiceRateHz, {})) {
        if (sound.found_by == FoundBy::kLevel) continue;
        own = own || (std::abs(sound.start_s - 6.0) < 0.2 && std::abs(sound.end_s - 7.2) < 0.2);
    }
    CHECK(own);
}

TEST_CASE("a bang of plain noise has next to no voice") {
    for (std::uint32_t seed = 1; seed <= 10; ++seed) {
        CAPTURE(seed);
        Samples samples = pink(kVoiceRateHz, 9.0, 0.002);
        add(samples, noise(kVoiceRateHz, 0.8, 0.05, seed), kVoiceRateHz, 5.0);
        for (const Sound& sound : sounds_in(samples, kVoiceRateHz, {})) CHECK(sound.measures[kVoiceTone] < 2.5F);
    }
}

TEST_CASE("sounds come in order of start though voices in them begin later") {
    Samples samples = pink(kVoiceRateHz, 40.0, 0.002);
    for (double at_s = 5.0; at_s < 36.0; at_s += 2.9) {
        add(samples, noise(kVoiceRateHz, 2.0, 0.02, static_cast<std::uint32_t>(at_s)), kVoiceRateHz, at_s);
        add(samples, rising_moo(0.06), kVoiceRateHz, at_s + 0.5);
    }
    double before_s = 0.0;
    const auto sounds = sounds_in(samples, kVoiceRateHz, {});
    REQUIRE(sounds.size() > 10);
    for (const Sound& sound : sounds) {
        CHECK(sound.start_s >= before_s);
        before_s = sound.start_s;
    }
}
