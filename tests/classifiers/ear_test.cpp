#include <catch2/catch.hpp>

#include "classifiers/ear.h"
#include "classifiers/profile_text.h"
#include "tests/classifiers/signals.h"
#include "tests/dsp/allocation_counter.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

Profile by_hand() {
    return profile_from_toml(R"(
species = "cattle"
name = "by hand"
version = "1"
[[card]]
kind = "moo"
base = -1.0
cut = 0.5
gates = [ { measure = "duration_s", min = 0.3 } ]
kinds = [ { kind = "bellow", when = ["voice_f0_hz > 700"] } ]
terms = [
  { when = ["voice_s > 0.4"], points = 1.5 },
  { when = ["voice_steady_share > 0.7"], points = -2.0 },
  { when = ["voice_arch_oct > 0.1", "voice_harmonics > 3"], points = 0.5 },
]
)");
}

double arched(double x) {
    return 140.0 + 60.0 * std::sin(std::numbers::pi * x);
}

std::vector<HeardCall> calls_in(const Samples& samples, double rate_hz, std::size_t block = 4800) {
    Ear ear(rate_hz, by_hand());
    std::vector<HeardCall> calls;
    HeardCall call;
    for (std::size_t at = 0; at < samples.size(); at += block) {
        ear.process({samples.data() + at, std::min(block, samples.size() - at)});
        while (ear.take(call)) calls.push_back(call);
    }
    ear.finish();
    while (ear.take(call)) calls.push_back(call);
    return calls;
}

// A call, a horn, a bang and a bull's bugle (958 Hz, as published for bulls) in pink noise.
Samples yard(double rate_hz) {
    Samples samples = pink(rate_hz, 20.0, 0.004);
    add(samples, voice(rate_hz, 1.2, 0.05, arched), rate_hz, 4.0);
    add(samples, voice(rate_hz, 1.5, 0.05, [](double) { return 420.0; }), rate_hz, 8.0);
    Samples bang = noise(rate_hz, 0.5, 0.5, 9);
    for (std::size_t i = 0; i < bang.size(); ++i) {
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / (0.05 * rate_hz)));
    }
    add(samples, bang, rate_hz, 12.0);
    add(samples,
        voice(rate_hz, 1.2, 0.05, [](double x) { return 870.0 + 150.0 * std::sin(std::numbers::pi * x); }),
        rate_hz, 15.0);
    return samples;
}

} // namespace

TEST_CASE("calls are heard, a horn and a bang are not") {
    const auto calls = calls_in(yard(48000), 48000);
    REQUIRE(calls.size() == 2);
    CHECK(calls[0].start_s == Approx(4.0).margin(0.1));
    CHECK(calls[0].end_s == Approx(5.2).margin(0.1));
    CHECK(calls[0].kind == CallKind::kMoo);
    CHECK(calls[0].f0_hz == Approx(185.0).epsilon(0.06));
    CHECK(calls[0].score == Approx(1.0));
    CHECK(calls[0].reasons == "voice_s>0.4 +1.5; voice_arch_oct>0.1 & voice_harmonics>3 +0.5");
    CHECK(calls[0].level_db > -30.0);
    CHECK(calls[0].level_db < -20.0);
    CHECK(calls[1].start_s == Approx(15.0).margin(0.1));
    CHECK(calls[1].kind == CallKind::kBellow);
}

TEST_CASE("the calls don't depend on how the samples were cut into blocks") {
    const Samples samples = yard(44100);
    const auto whole = calls_in(samples, 44100, samples.size());
    REQUIRE(whole.size() == 2);
    for (const std::size_t block : {std::size_t{113}, std::size_t{22050}}) {
        const auto cut = calls_in(samples, 44100, block);
        REQUIRE(cut.size() == whole.size());
        for (std::size_t i = 0; i < cut.size(); ++i) {
            CHECK(cut[i].start_s == whole[i].start_s);
            CHECK(cut[i].end_s == whole[i].end_s);
            CHECK(cut[i].score == whole[i].score);
            CHECK(cut[i].level_db == whole[i].level_db);
            CHECK(cut[i].f0_hz == whole[i].f0_hz);
            CHECK(cut[i].reasons == whole[i].reasons);
        }
    }
}

TEST_CASE("one call found in two ways is one call") {
    // A bang in the middle: the tone spans the call, the level is torn.
    Samples samples = pink(16000, 12.0, 0.004);
    add(samples, voice(16000, 1.6, 0.03, arched), 16000, 5.0);
    Samples bang = noise(16000, 0.3, 0.4, 9);
    for (std::size_t i = 0; i < bang.size(); ++i)
        bang[i] *= static_cast<float>(std::exp(-static_cast<double>(i) / 500.0));
    add(samples, bang, 16000, 5.8);
    const auto calls = calls_in(samples, 16000);
    REQUIRE_FALSE(calls.empty());
    for (std::size_t i = 1; i < calls.size(); ++i) CHECK(calls[i].start_s >= calls[i - 1].end_s);
}

TEST_CASE("no call starts before what was called settled") {
    const Samples samples = yard(16000);
    Ear ear(16000, by_hand());
    HeardCall call;
    double settled_s = 0.0;
    std::size_t heard = 0;
    for (std::size_t at = 0; at + 320 <= samples.size(); at += 320) {
        ear.process({samples.data() + at, 320});
        CHECK(ear.settled_until_s() >= settled_s);
        while (ear.take(call)) {
            CHECK(call.start_s >= settled_s);
            ++heard;
        }
        settled_s = ear.settled_until_s();
    }
    CHECK(heard == 2);
    CHECK(settled_s > 18.0);
}

TEST_CASE("a call that the loss of samples ends is still told") {
    Samples samples = pink(16000, 6.0, 0.004);
    add(samples, voice(16000, 2.0, 0.05, arched), 16000, 5.0);
    Ear ear(16000, by_hand());
    ear.process(samples);
    ear.skip(16000);
    HeardCall call;
    REQUIRE(ear.take(call));
    CHECK(call.end_s <= 6.0);
    CHECK(ear.settled_until_s() == Approx(7.0));
}

TEST_CASE("hearing allocates nothing after construction") {
    const Samples samples = yard(48000);
    Ear ear(48000, by_hand());
    const std::size_t before = allocations_so_far();
    for (std::size_t at = 0; at + 960 <= samples.size(); at += 960) ear.process({samples.data() + at, 960});
    ear.skip(48000);
    ear.finish();
    CHECK(allocations_so_far() == before);
    HeardCall call;
    CHECK(ear.take(call));
}
