// A microphone in a made plant, at 16 kHz to be quick, with two minutes of learning.
#include "daemon/health/microphone_watch.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "tests/dsp/allocation_counter.h"
#include "tests/health/capsules.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kRate_hz = 16000.0;
constexpr double kTrouble_s = 300.0;
constexpr double kLength_s = 540.0;

HealthSettings quick_settings() {
    HealthSettings settings;
    settings.learn_minutes = 2.0;
    return settings;
}

constexpr std::pair<Trouble, GapCause> kTroubles[] = {
    {Trouble::kDead, GapCause::kSilent},       {Trouble::kClipped, GapCause::kClipped},
    {Trouble::kCovered, GapCause::kCoveredUp}, {Trouble::kFilm, GapCause::kCoveredUp},
    {Trouble::kWind, GapCause::kWind},         {Trouble::kDrops, GapCause::kWind},
    {Trouble::kHum50, GapCause::kHum},         {Trouble::kHum60, GapCause::kHum},
    {Trouble::kGainDown, GapCause::kLevelFar}, {Trouble::kGainUp, GapCause::kLevelFar}};

struct Told {
    std::vector<HealthFault> faults; // touching ones joined
    std::vector<double> known_s;     // how far was heard when each was first told
    std::vector<MicrophoneMinute> minutes;
    double longest_wait_s = 0.0;
};

Told watched(
    const Samples& samples, std::size_t block = 4800, const HealthSettings& settings = quick_settings(),
    const std::function<bool(double)>& worked = [](double) { return true; }) {
    MicrophoneWatch watch(kRate_hz, settings);
    Told told;
    const auto take = [&](double known_s) {
        watch.judge_until(known_s, worked);
        HealthFault fault;
        while (watch.take(fault)) {
            if (!told.faults.empty() && told.faults.back().cause == fault.cause &&
                told.faults.back().end_s == fault.start_s) {
                told.faults.back().end_s = fault.end_s;
            } else {
                told.faults.push_back(fault);
                told.known_s.push_back(known_s);
            }
        }
        MicrophoneMinute minute;
        while (watch.take(minute)) told.minutes.push_back(minute);
    };
    const std::span<const float> all(samples);
    for (std::size_t at = 0; at < all.size(); at += block) {
        const std::size_t count = std::min(block, all.size() - at);
        watch.process(all.subspan(at, count));
        const double known_s = static_cast<double>(at + count) / kRate_hz;
        take(known_s);
        told.longest_wait_s = std::max(told.longest_wait_s, known_s - watch.settled_until_s());
    }
    watch.finish();
    take(1e9);
    return told;
}

const Samples& whole() {
    static const Samples samples = plant(kRate_hz, kLength_s);
    return samples;
}

Samples spoiled(Trouble trouble, double from_s = kTrouble_s) {
    Samples samples = whole();
    spoil(samples, static_cast<std::size_t>(from_s * kRate_hz), kRate_hz, trouble);
    return samples;
}

} // namespace

TEST_CASE("A microphone in a noisy plant has no fault and keeps nobody waiting") {
    const Told told = watched(whole());
    CHECK(told.faults.empty());
    CHECK(told.longest_wait_s < 2.0);
}

TEST_CASE("Each trouble is found by its name within two minutes, from where it began to the end") {
    for (const auto& [trouble, cause] : kTroubles) {
        INFO(name_of(cause));
        const Told told = watched(spoiled(trouble));
        REQUIRE(told.faults.size() == 1);
        CHECK(told.faults[0].cause == cause);
        CHECK(told.faults[0].start_s == Approx(kTrouble_s).margin(15.0));
        CHECK(told.faults[0].end_s == Approx(kLength_s).margin(10.0));
        CHECK(told.known_s[0] <= kTrouble_s + 120.0);
    }
}

TEST_CASE("Hum and wind that swamp everything are found while nothing is known of the microphone yet") {
    for (const auto& [trouble, cause] :
         {std::pair{Trouble::kHum50, GapCause::kHum}, std::pair{Trouble::kWind, GapCause::kWind}}) {
        INFO(name_of(cause));
        const Told told = watched(spoiled(trouble, 0.0));
        REQUIRE_FALSE(told.faults.empty());
        CHECK(told.faults[0].cause == cause);
        CHECK(told.known_s[0] <= 120.0);
    }
}

TEST_CASE("A cover from the first minute on can't be known, and is not guessed") {
    CHECK(watched(spoiled(Trouble::kCovered, 0.0)).faults.empty());
}

TEST_CASE("A hall that falls silent while the line stands is no fault, and teaches nothing") {
    Samples samples = spoiled(Trouble::kGainDown);
    const auto worked = [](double time_s) { return time_s < kTrouble_s; };
    CHECK(watched(samples, 4800, quick_settings(), worked).faults.empty());
    // Silent first, at work later: what is usual is that of work.
    Samples night = whole();
    for (std::size_t i = 0; i < static_cast<std::size_t>(200.0 * kRate_hz); ++i) night[i] *= 0.05F;
    const auto by_day = [](double time_s) { return time_s > 200.0; };
    CHECK(watched(night, 4800, quick_settings(), by_day).faults.empty());
}

TEST_CASE("A trouble of twenty seconds now and then is no fault, unless the microphone is dead or clipped") {
    for (const auto& [trouble, cause] : kTroubles) {
        INFO(name_of(cause));
        Samples samples = whole();
        for (const double from_s : {200.0, 300.0, 400.0}) {
            spoil(samples, static_cast<std::size_t>(from_s * kRate_hz),
                  static_cast<std::size_t>((from_s + 20.0) * kRate_hz), kRate_hz, trouble);
        }
        const Told told = watched(samples);
        const bool at_once = cause == GapCause::kSilent || cause == GapCause::kClipped;
        CHECK(told.faults.size() == (at_once ? 3 : 0));
    }
}

TEST_CASE("A level that drifts away over minutes is found once it is far, and is not learned on the way") {
    Samples samples = whole();
    double gain = 1.0;
    const double a_sample = std::pow(10.0, -20.0 / 20.0 / (120.0 * kRate_hz)); // 20 dB in two minutes
    for (auto i = static_cast<std::size_t>(kTrouble_s * kRate_hz); i < samples.size(); ++i) {
        if (gain > 0.1) gain *= a_sample;
        samples[i] *= static_cast<float>(gain);
    }
    const Told told = watched(samples);
    REQUIRE(told.faults.size() == 1);
    CHECK(told.faults[0].cause == GapCause::kLevelFar);
    CHECK(told.faults[0].start_s > kTrouble_s + 30.0);
    CHECK(told.faults[0].start_s < kTrouble_s + 120.0);
    CHECK(told.faults[0].end_s == Approx(kLength_s).margin(10.0));
}

TEST_CASE(
    "A compressor that starts, an engine that stays and a valve that hisses are the plant's, not the "
    "capsule's") {
    const auto with = [](const std::function<double(double, double)>& sound) {
        std::mt19937 random(17);
        std::normal_distribution<double> normal;
        Samples samples = whole();
        for (auto i = static_cast<std::size_t>(kTrouble_s * kRate_hz); i < samples.size(); ++i) {
            const double t = static_cast<double>(i) / kRate_hz;
            samples[i] += static_cast<float>(sound(t, normal(random)));
        }
        return watched(samples).faults.size();
    };
    const auto sine = [](double hz, double t) { return std::sin(2.0 * std::numbers::pi * hz * t); };
    // Levels as much as the background's own, some −38 dB re full scale.
    CHECK(with([&](double t, double) { return 0.015 * sine(100.0, t) + 0.006 * sine(200.0, t); }) == 0);
    CHECK(with([&](double t, double noise) {
              const double firing = 1.0 + 0.8 * sine(27.0, t);
              return 0.012 * sine(27.0, t) + 0.01 * sine(54.0, t) + 0.006 * firing * noise;
          }) == 0);
    CHECK(with([](double, double noise) { return 0.01 * noise; }) == 0);
}

TEST_CASE("A fault ends when the microphone is well again, and is not learned as usual") {
    Samples samples = whole();
    for (auto i = static_cast<std::size_t>(200.0 * kRate_hz); i < static_cast<std::size_t>(400.0 * kRate_hz);
         ++i)
        samples[i] *= 0.05F;
    const Told told = watched(samples);
    REQUIRE(told.faults.size() == 1);
    CHECK(told.faults[0].start_s == Approx(200.0).margin(15.0));
    CHECK(told.faults[0].end_s == Approx(400.0).margin(2.0));
}

TEST_CASE("What is found doesn't depend on how the samples were cut into blocks") {
    const Samples samples = spoiled(Trouble::kCovered);
    const Told reference = watched(samples, 16000);
    REQUIRE(reference.faults.size() == 1);
    for (const std::size_t block : {997U, 100000U, 8640000U}) {
        const Told told = watched(samples, block);
        REQUIRE(told.faults.size() == 1);
        CHECK(told.faults[0].start_s == reference.faults[0].start_s);
        CHECK(told.faults[0].end_s == reference.faults[0].end_s);
        REQUIRE(told.minutes.size() == reference.minutes.size());
        for (std::size_t i = 0; i < told.minutes.size(); ++i) {
            CHECK(told.minutes[i].level_db == reference.minutes[i].level_db);
            CHECK(told.minutes[i].covered_s == reference.minutes[i].covered_s);
        }
    }
}

TEST_CASE("Every minute has its figures, the last one as far as it was heard") {
    const Samples samples(static_cast<std::size_t>(150.0 * kRate_hz), 0.0F);
    Samples tone = samples;
    for (std::size_t i = 0; i < tone.size(); ++i) {
        tone[i] = 0.1F * static_cast<float>(
                             std::sin(2.0 * std::numbers::pi * 500.0 * static_cast<double>(i) / kRate_hz));
    }
    const Told told = watched(tone);
    REQUIRE(told.minutes.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        const MicrophoneMinute& minute = told.minutes[i];
        CHECK(minute.start_s == 60.0 * static_cast<double>(i));
        CHECK(minute.heard_s == Approx(i < 2 ? 60.0 : 30.0));
        CHECK(minute.worked_s == Approx(minute.heard_s));
        CHECK(minute.level_db == Approx(-20.0).margin(0.05));
        CHECK(minute.background_db == Approx(-20.0).margin(0.05));
        CHECK(minute.body_db == Approx(-20.0).margin(0.05));
        CHECK(minute.high_db < -90.0);
    }
    const Told silent = watched(samples);
    REQUIRE(silent.minutes.size() == 3);
    CHECK(silent.minutes[0].silent_s == Approx(60.0));
    CHECK(silent.minutes[0].level_far_s == 0.0);
}

TEST_CASE(
    "A long loss is no fault of health, keeps nobody waiting, and its seconds are not counted as heard") {
    MicrophoneWatch watch(kRate_hz, quick_settings());
    const auto always = [](double) { return true; };
    const std::span<const float> samples(whole());
    watch.process(samples.first(static_cast<std::size_t>(90.5 * kRate_hz)));
    watch.judge_until(90.5, always);
    watch.lose(static_cast<std::int64_t>(1000.0 * kRate_hz));
    watch.judge_until(1090.5, always);
    CHECK(watch.settled_until_s() == Approx(1090.5));
    watch.process(samples.first(static_cast<std::size_t>(60.0 * kRate_hz)));
    watch.finish();
    watch.judge_until(1e9, always);
    HealthFault fault;
    CHECK_FALSE(watch.take(fault));
    std::vector<MicrophoneMinute> minutes;
    MicrophoneMinute minute;
    while (watch.take(minute)) minutes.push_back(minute);
    REQUIRE(minutes.size() == 4);
    CHECK(minutes[1].heard_s == Approx(30.0));
    CHECK(minutes[2].start_s == 1080.0);
    CHECK(minutes[2].heard_s + minutes[3].heard_s == Approx(60.0));
}

TEST_CASE("Measuring seconds allocates nothing") {
    MicrophoneHealth health(kRate_hz, quick_settings());
    const std::span<const float> samples(whole());
    SecondFigures second;
    const std::size_t before = allocations_so_far();
    std::size_t seconds = 0;
    for (std::size_t at = 0; at + 480 <= 160000; at += 480) {
        health.process(samples.subspan(at, 480));
        while (health.take(second)) ++seconds;
    }
    CHECK(allocations_so_far() == before);
    CHECK(seconds == 9);
}
