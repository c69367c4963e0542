#include <catch2/catch.hpp>
#include <cstdlib>

#include "daemon/capture/portaudio_source.h"
#include "daemon/capture/portaudio_thread.h"
#include "tests/capture/test_microphone.h"

using namespace quietpass;
using namespace quietpass::tests;

namespace {

constexpr double kFaultSpeed = 8.0;
constexpr std::int64_t kRate = 48000;
// What the clock can size at 8 times real time, where 10 ms until a thread wakes are 80 ms.
constexpr std::int64_t kSizeError = kRate / 8;

struct Take {
    Heard heard;
    PortAudioSource::Health health;
};

Take listen_with(const std::string& faults, const std::vector<float>& samples, int seconds) {
    TestMicrophones microphones(kFaultSpeed);
    microphones.add("default", samples, 1, "--faults '" + faults + "'").plug_in();
    PortAudioThread audio;
    const ScaledClock clock(kFaultSpeed);
    PortAudioSource source(audio, clock, {"default"});
    Take take;
    take.heard = listen(source, clock, seconds * kRate);
    take.health = source.health();
    CHECK(take.heard.in_order);
    for (const Heard::Loss& loss : take.heard.losses) {
        UNSCOPED_INFO("lost " << loss.count << " at " << loss.first_index << ": " << name_of(loss.cause));
    }
    return take;
}

// The file without the samples [from, from + count).
std::vector<float> without(std::vector<float> samples, std::int64_t from, std::int64_t count) {
    samples.erase(samples.begin() + from, samples.begin() + from + count);
    return samples;
}

bool begins_with(const std::vector<float>& samples, const std::vector<float>& heard) {
    return heard.size() <= samples.size() && std::equal(heard.begin(), heard.end(), samples.begin());
}

// How far the samples heard after the last loss stand from their place in the file.
std::int64_t misplaced_after_loss(const Heard& heard, const std::vector<float>& samples) {
    const Heard::Loss& loss = heard.losses.back();
    // A packet that begins in the hole holds samples of both sides; further on all is from after it.
    constexpr std::int64_t kFurther = 2 * kRate / 10;
    const auto start = heard.samples[0].begin() + heard.starts.back() + kFurther;
    const std::int64_t place = place_of(std::vector<float>(start, start + 64), samples);
    REQUIRE(place >= 0);
    return loss.first_index + loss.count + kFurther - place;
}

} // namespace

TEST_CASE("Samples that the device skips in silence become a loss of their size") {
    const std::vector<float> samples = noise(12, 1);
    const Take take = listen_with("skip 96000 24000", samples, 11);
    REQUIRE(take.heard.losses.size() == 1);
    const Heard::Loss& loss = take.heard.losses[0];
    CHECK(loss.cause == GapCause::kOverrun);
    CHECK(std::abs(loss.count - 24000) < kSizeError);
    CHECK(std::abs(loss.first_index - 96000) < kSizeError);
    CHECK(std::abs(misplaced_after_loss(take.heard, samples)) < kSizeError);
    CHECK(begins_with(without(samples, 96000, 24000), take.heard.samples[0]));
    CHECK(take.health.overflow_flags == 0);
    CHECK(take.health.reopened == 0);
}

TEST_CASE("An overrun that the device reports becomes a loss of its size") {
    const std::vector<float> samples = noise(8, 1);
    const Take take = listen_with("overrun 96000 24000", samples, 7);
    REQUIRE(take.heard.losses.size() == 1);
    CHECK(take.heard.losses[0].cause == GapCause::kOverrun);
    // The device begins again some time after it reported, so more is missing than the fault asked for.
    CHECK(take.heard.losses[0].count > 24000 - kSizeError);
    CHECK(std::abs(misplaced_after_loss(take.heard, samples)) < kSizeError);
    CHECK(take.health.overflow_flags == 1);
}

TEST_CASE("A pause after which everything comes loses nothing") {
    const std::vector<float> samples = noise(6, 1);
    const Take take = listen_with("stall 96000 0.6", samples, 5);
    CHECK(take.heard.losses.empty());
    CHECK(begins_with(samples, take.heard.samples[0]));
}

TEST_CASE("A microphone that is unplugged and plugged in again is a gap, and heard again") {
    const std::vector<float> samples = noise(20, 1);
    const Take take = listen_with("gone 96000 4", samples, 18); // from 2 s to 6 s
    REQUIRE(take.heard.losses.size() == 1);
    const Heard::Loss& loss = take.heard.losses[0];
    CHECK(loss.cause == GapCause::kUnplugged);
    CHECK(loss.first_index <= 2 * kRate);
    CHECK(loss.first_index > 2 * kRate - kSizeError);
    const std::int64_t back = loss.first_index + loss.count;
    CHECK(back >= 6 * kRate);
    CHECK(back < 15 * kRate); // the back-off was at 4 s at the most
    CHECK(std::abs(misplaced_after_loss(take.heard, samples)) < kSizeError);
    CHECK(take.health.reopened == 1);
    CHECK(take.health.connected);
}

TEST_CASE("A microphone that stays away is a gap that grows with the clock") {
    const std::vector<float> samples = noise(4, 1);
    const Take take = listen_with("gone 96000 0", samples, 10);
    REQUIRE(take.heard.losses.size() == 1);
    CHECK(take.heard.losses[0].cause == GapCause::kUnplugged);
    CHECK_FALSE(take.health.connected);
    CHECK_FALSE(take.health.hanging);
    CHECK(take.health.last_failure.find("isn't there") != std::string::npos);
}

TEST_CASE("A device that comes back is heard again while another microphone goes on unharmed") {
    const std::vector<float> one = noise(16, 1, 48000, 1);
    const std::vector<float> two = noise(16, 1, 48000, 2);
    TestMicrophones microphones(kFaultSpeed);
    microphones.add("default", one).add("second", two, 1, "--faults 'gone 96000 2'").plug_in();
    PortAudioThread audio;
    const ScaledClock clock(kFaultSpeed);
    PortAudioSource first(audio, clock, {"default"});
    PortAudioSource second(audio, clock, {"second"});
    const Heard of_second = listen(second, clock, 14 * kRate);
    const Heard of_first = listen(first, clock, 14 * kRate);
    CHECK(of_first.losses.empty());
    CHECK(begins_with(one, of_first.samples[0]));
    REQUIRE(of_second.losses.size() == 1);
    CHECK(of_second.losses[0].cause == GapCause::kUnplugged);
    CHECK(second.health().reopened == 1);
    CHECK(std::abs(misplaced_after_loss(of_second, two)) < kSizeError);
}

TEST_CASE("Digital silence passes as samples: judging it is the station's") {
    std::vector<float> samples = noise(5, 1);
    const Take take = listen_with("silence 48000 96000", samples, 4);
    std::fill_n(samples.begin() + 48000, 96000, 0.0F);
    CHECK(take.heard.losses.empty());
    CHECK(begins_with(samples, take.heard.samples[0]));
}

TEST_CASE("Samples of a device that are not numbers become a loss of exactly that many") {
    const std::vector<float> samples = noise(4, 1);
    const Take take = listen_with("nan 48000 480", samples, 3);
    REQUIRE(take.heard.losses.size() == 1);
    CHECK(take.heard.losses[0].first_index == 48000);
    CHECK(take.heard.losses[0].count == 480);
    CHECK(begins_with(without(samples, 48000, 480), take.heard.samples[0]));
}
