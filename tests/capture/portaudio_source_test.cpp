#include "daemon/capture/portaudio_source.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "daemon/capture/clock_fit.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/failure.h"
#include "tests/capture/test_microphone.h"

using Catch::Contains;
using namespace quietpass;
using namespace quietpass::tests;

namespace {

constexpr double kSpeed = 8.0;

void check_is_file(const Heard& heard, const std::vector<float>& interleaved, std::size_t channels) {
    CHECK(heard.in_order);
    CHECK(heard.losses.empty());
    bool same = true;
    const std::size_t frames = std::min(heard.samples[0].size(), interleaved.size() / channels);
    for (std::size_t channel = 0; channel < channels; ++channel) {
        for (std::size_t i = 0; i < frames; ++i) {
            same = same && heard.samples[channel][i] == interleaved[i * channels + channel];
        }
    }
    CHECK(same);
}

void check_exact_capture(int seconds, int channels, const std::string& options, double latency_s = 0.3) {
    const std::vector<float> samples = noise(seconds, channels);
    TestMicrophones microphones(kSpeed);
    microphones.add("default", samples, channels, options).plug_in();
    PortAudioThread audio;
    const ScaledClock clock(kSpeed);
    PortAudioSource source(audio, clock, {"default", 0.0, channels, latency_s});
    CHECK(source.sample_rate_hz() == 48000.0);
    const std::int64_t length = seconds * 48000;
    check_is_file(listen(source, clock, length), samples, static_cast<std::size_t>(channels));
    CHECK(source.health().samples_heard >= length);
    CHECK(source.health().connected);
    CHECK(source.health().overflow_flags == 0);
}

std::string failure_of(const MicrophoneWish& wish, int exit_code) {
    TestMicrophones microphones(kSpeed);
    microphones.add("default", noise(1, 1)).add("second", noise(1, 1)).plug_in();
    PortAudioThread audio;
    const RealClock clock;
    try {
        PortAudioSource source(audio, clock, wish);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == exit_code);
        CHECK_THAT(std::string(failure.what()), !Contains("\n"));
        return failure.what();
    }
    return "";
}

} // namespace

TEST_CASE("Capture is exact to the sample at 8 times real time, run after run") {
    for (int run = 0; run < 3; ++run) check_exact_capture(9, 1, "");
}

TEST_CASE("Capture of a 16-bit device is exact to the sample") {
    check_exact_capture(5, 1, "--format s16");
}

TEST_CASE("Capture of two channels is exact to the sample, at either end of the latency range") {
    check_exact_capture(4, 2, "", 0.2);
    check_exact_capture(4, 2, "", 0.5);
}

TEST_CASE("Two microphones on two devices are captured at once") {
    const std::vector<float> one = noise(6, 1, 48000, 1);
    const std::vector<float> two = noise(6, 1, 48000, 2);
    TestMicrophones microphones(kSpeed);
    microphones.add("default", one).add("second", two).plug_in();
    PortAudioThread audio;
    const ScaledClock clock(kSpeed);
    PortAudioSource first(audio, clock, {"default"});
    PortAudioSource second(audio, clock, {"second"});
    check_is_file(listen(first, clock, 6 * 48000), one, 1);
    check_is_file(listen(second, clock, 6 * 48000), two, 1);
}

TEST_CASE("The fit tells when a sample was at the microphone") {
    const std::vector<float> samples = noise(6, 1);
    TestMicrophones microphones(kSpeed);
    const std::string started_file = microphones.folder().path("started");
    microphones.add("default", samples, 1, "--started-file '" + started_file + "'").plug_in();
    PortAudioThread audio;
    const RealClock real;
    const ScaledClock clock(kSpeed);
    const std::int64_t scaled_origin_ns = clock.monotonic_ns();
    const std::int64_t real_origin_ns = real.monotonic_ns();
    PortAudioSource source(audio, clock, {"default"});
    listen(source, clock, 6 * 48000);
    const double started_ns = std::stod(read_bytes(started_file));
    const double scaled_ns =
        static_cast<double>(scaled_origin_ns) + (started_ns - static_cast<double>(real_origin_ns)) * kSpeed;
    const double error_s = (static_cast<double>(source.clock_fit()->monotonic_ns_at(0.0)) - scaled_ns) * 1e-9;
    INFO("error " << error_s << " s");
    // The earliest callbacks are late by the time a thread takes to wake: a few ms of real time, times the
    // speed.
    CHECK(error_s > -0.010);
    CHECK(error_s < 0.200);
}

TEST_CASE("A rate that the device refuses is one line with the rate it has") {
    CHECK_THAT(failure_of({"default", 44100.0}, kExitUsage),
               Contains("\"default\" refuses 44100 Hz") && Contains("48000 Hz"));
}

TEST_CASE("A microphone that isn't there is one line with those that are") {
    CHECK_THAT(failure_of({"hw:CARD=Ceiling"}, kExitUsage), Contains("\"hw:CARD=Ceiling\" isn't there") &&
                                                                Contains("\"default\"") &&
                                                                Contains("\"second\""));
}

TEST_CASE("More channels than the device has are one line") {
    CHECK_THAT(failure_of({"default", 0.0, 3}, kExitUsage), Contains("has 1 channels and 3 are asked for"));
}
