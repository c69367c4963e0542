#include <algorithm>
#include <catch2/catch.hpp>
#include <stdexcept>

#include "tests/classifiers/signals.h"
#include "tests/dsp/allocation_counter.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

double moo_pitch(double x) {
    return 140.0 + 50.0 * std::sin(std::numbers::pi * x);
}

// Ten seconds of pink noise with a call at 4 … 5.2 s, a bang at 7 s.
Samples scene(double rate_hz) {
    Samples samples = pink(rate_hz, 10.0, 0.01);
    add(samples, voice(rate_hz, 1.2, 0.02, moo_pitch), rate_hz, 4.0);
    Samples bang = noise(rate_hz, 0.4, 0.3, 9);
    for (std::size_t i = 0; i < bang.size(); ++i) {
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / (0.04 * rate_hz)));
    }
    add(samples, bang, rate_hz, 7.0);
    return samples;
}

void check_same(const std::vector<Sound>& a, const std::vector<Sound>& b) {
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        CHECK(a[i].start_s == b[i].start_s);
        CHECK(a[i].end_s == b[i].end_s);
        CHECK(a[i].found_by == b[i].found_by);
        CHECK(a[i].level_db == b[i].level_db);
        CHECK(a[i].f0_hz == b[i].f0_hz);
        CHECK(a[i].measures == b[i].measures);
    }
}

} // namespace

TEST_CASE("the sounds don't depend on how the samples were cut into blocks") {
    for (const double rate_hz : {16000.0, 44100.0, 48000.0}) {
        const Samples samples = scene(rate_hz);
        const auto whole = sounds_in(samples, rate_hz, {}, samples.size());
        REQUIRE_FALSE(whole.empty());
        for (const std::size_t block : {std::size_t{37}, std::size_t{480}, std::size_t{9973}}) {
            INFO("rate " << rate_hz << ", block " << block);
            check_same(whole, sounds_in(samples, rate_hz, {}, block));
        }
    }
}

TEST_CASE("a call's start and end are found within 60 ms at any rate") {
    for (const double rate_hz : {8000.0, 16000.0, 22050.0, 44100.0, 48000.0, 96000.0}) {
        Samples samples = pink(rate_hz, 8.0, 0.002);
        add(samples, voice(rate_hz, 1.2, 0.05, moo_pitch, [](double) { return 1.0; }), rate_hz, 4.0);
        const auto sounds = sounds_in(samples, rate_hz, {});
        REQUIRE(sounds.size() == 1);
        INFO("rate " << rate_hz);
        CHECK(sounds[0].start_s == Approx(4.0).margin(0.06));
        CHECK(sounds[0].end_s == Approx(5.2).margin(0.06));
    }
}

TEST_CASE("a call is found in noise as loud as itself") {
    Samples samples = pink(16000, 12.0, 0.02);
    add(samples, voice(16000, 1.2, 0.02, moo_pitch), 16000, 6.0);
    CHECK(covered(sounds_in(samples, 16000, {}), 6.0, 7.2) > 0.8);
}

TEST_CASE("a bang on top of a call doesn't swallow it") {
    Samples samples = pink(16000, 12.0, 0.005);
    add(samples, voice(16000, 1.2, 0.02, moo_pitch), 16000, 6.0);
    Samples bang = noise(16000, 0.5, 0.5, 9);
    for (std::size_t i = 0; i < bang.size(); ++i)
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / 800.0));
    for (const double at_s : {5.8, 6.0, 6.5, 7.0}) {
        Samples both = samples;
        add(both, bang, 16000, at_s);
        double best = 0.0;
        for (const Sound& s : sounds_in(both, 16000, {})) {
            const double common = std::min(7.2, s.end_s) - std::max(6.0, s.start_s);
            best = std::max(best, common / (std::max(7.2, s.end_s) - std::min(6.0, s.start_s)));
        }
        INFO("bang at " << at_s);
        CHECK(best > 0.6);
    }
}

TEST_CASE("a call that starts with the recording is found") {
    Samples samples = pink(16000, 4.0, 0.005);
    add(samples, voice(16000, 1.0, 0.05, moo_pitch), 16000, 0.0);
    CHECK(covered(sounds_in(samples, 16000, {}), 0.1, 0.9) > 0.9);
}

TEST_CASE("plain noise has no sounds") {
    for (std::uint32_t seed = 1; seed <= 3; ++seed) {
        CHECK(sounds_in(noise(16000, 30.0, 0.05, seed), 16000, {}).empty());
    }
}

TEST_CASE("a long steady tone is no sound") {
    // Swelling and fading within 0.3 s: a harder edge clicks, and a click is a sound.
    const auto edges = [](double x) { return std::min(1.0, 66.0 * std::min(x, 1.0 - x)); };
    for (const double hz : {120.0, 440.0, 1000.0}) {
        Samples samples = pink(16000, 40.0, 0.005);
        add(samples,
            voice(
                16000, 20.0, 0.05, [hz](double) { return hz; }, edges),
            16000, 10.0);
        INFO("tone of " << hz);
        CHECK(sounds_in(samples, 16000, {}).empty());
    }
}

TEST_CASE("a call over a machine that started to run is found") {
    Samples samples = pink(16000, 40.0, 0.003);
    const Samples motor = voice(
        16000, 30.0, 0.02, [](double) { return 100.0; }, [](double) { return 1.0; });
    add(samples, motor, 16000, 10.0);
    add(samples, voice(16000, 1.2, 0.03, moo_pitch), 16000, 32.0);
    CHECK(covered(sounds_in(samples, 16000, {}), 32.0, 33.2) > 0.5);
}

TEST_CASE("no sound is longer than the longest") {
    SegmentSettings settings;
    settings.longest_s = 2.0;
    Samples samples = pink(16000, 30.0, 0.005);
    add(samples,
        voice(
            16000, 15.0, 0.05, [](double x) { return 200.0 + 80.0 * std::sin(60.0 * x); },
            [](double) { return 1.0; }),
        16000, 10.0);
    const auto sounds = sounds_in(samples, 16000, settings);
    CHECK(sounds.size() >= 7);
    for (const Sound& sound : sounds) CHECK(sound.end_s - sound.start_s <= 2.02);
}

TEST_CASE("lost samples end a sound, and time goes on behind them") {
    const double rate_hz = 48000.0;
    Samples before = pink(rate_hz, 6.0, 0.005);
    add(before, voice(rate_hz, 2.0, 0.05, moo_pitch), rate_hz, 5.0);
    Samples after = pink(rate_hz, 6.0, 0.005, 5);
    add(after, voice(rate_hz, 1.0, 0.05, moo_pitch), rate_hz, 3.0);
    SoundFinder finder(rate_hz, {});
    finder.process(before);
    finder.skip(static_cast<std::int64_t>(4.0 * rate_hz));
    Sound sound;
    REQUIRE(finder.take(sound));
    CHECK(sound.start_s == Approx(5.0).margin(0.1));
    CHECK(sound.end_s <= 6.0);
    CHECK(sound.end_s > 5.8);
    CHECK_FALSE(finder.take(sound));
    finder.process(after);
    finder.finish();
    REQUIRE(finder.take(sound));
    CHECK(sound.start_s == Approx(13.0).margin(0.1));
    CHECK_FALSE(finder.take(sound));
    CHECK(finder.settled_until_s() == Approx(16.0));
}

TEST_CASE("no sound starts before what was called settled, and sounds come by start") {
    const Samples samples = scene(16000);
    SoundFinder finder(16000, {});
    double settled_s = 0.0;
    double last_start_s = 0.0;
    Sound sound;
    for (std::size_t at = 0; at + 160 <= samples.size(); at += 160) {
        finder.process({samples.data() + at, 160});
        while (finder.take(sound)) {
            CHECK(sound.start_s >= settled_s);
            CHECK(sound.start_s >= last_start_s);
            last_start_s = sound.start_s;
        }
        CHECK(finder.settled_until_s() >= settled_s);
        settled_s = finder.settled_until_s();
    }
    CHECK(settled_s > 8.5);
}

TEST_CASE("nothing is allocated after construction") {
    const Samples samples = scene(44100);
    SoundFinder finder(44100, {});
    Sound sound;
    std::size_t taken = 0;
    const std::size_t before = allocations_so_far();
    for (std::size_t at = 0; at < samples.size(); at += 1000) {
        finder.process({samples.data() + at, std::min<std::size_t>(1000, samples.size() - at)});
        while (finder.take(sound)) ++taken;
    }
    finder.skip(4410);
    finder.process(samples);
    finder.finish();
    while (finder.take(sound)) ++taken;
    const std::size_t after = allocations_so_far();
    CHECK(after == before);
    CHECK(taken >= 4);
}

TEST_CASE("sounds that nobody takes are dropped from the oldest on, and counted") {
    SegmentSettings settings;
    settings.shortest_s = 0.05;
    settings.join_s = 0.03;
    Samples samples = pink(16000, 100.0, 0.003);
    const Samples beep = voice(16000, 0.12, 0.05, [](double x) { return 300.0 + 100.0 * x; });
    for (int i = 0; i < 300; ++i) add(samples, beep, 16000, 3.0 + 0.32 * i);
    SoundFinder finder(16000, settings);
    finder.process(samples);
    finder.finish();
    Sound sound;
    std::size_t taken = 0;
    double first_s = -1.0;
    while (finder.take(sound)) {
        if (taken++ == 0) first_s = sound.start_s;
    }
    CHECK(taken == SoundFinder::kQueue);
    CHECK(finder.dropped() > 0);
    CHECK(first_s > 5.0);
}

TEST_CASE("settings and rates out of range are refused") {
    SegmentSettings settings;
    CHECK_THROWS_AS(SoundFinder(7000.0, settings), std::invalid_argument);
    settings.longest_s = 9.0;
    CHECK_THROWS_AS(SoundFinder(48000.0, settings), std::invalid_argument);
    settings = {};
    settings.level_off_db = 9.0;
    CHECK_THROWS_AS(SoundFinder(48000.0, settings), std::invalid_argument);
    settings = {};
    settings.high_hz = 100.0;
    CHECK_THROWS_AS(SoundFinder(48000.0, settings), std::invalid_argument);
}
