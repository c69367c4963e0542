#include "daemon/capture/portaudio_thread.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <future>

#include "daemon/capture/devices.h"
#include "daemon/failure.h"
#include "tests/capture/test_microphone.h"

using Catch::Contains;
using namespace quietpass;
using namespace quietpass::tests;
using std::chrono::milliseconds;

TEST_CASE("A call that hangs costs the caller its patience and no more, and what was not begun never runs") {
    TestMicrophones microphones;
    microphones.add("default", noise(1, 1)).plug_in();
    PortAudioThread audio;
    auto release = std::make_shared<std::promise<void>>();
    auto never_run = std::make_shared<std::atomic<bool>>(true);
    CHECK_FALSE(audio.run<bool>(
        [hang = std::shared_future<void>(release->get_future())] {
            hang.wait();
            return true;
        },
        milliseconds(20)));
    CHECK_FALSE(audio.run<bool>(
        [never_run] {
            *never_run = false;
            return true;
        },
        milliseconds(20)));
    release->set_value();
    CHECK(audio.run<int>([] { return 7; }, milliseconds(10'000)) == 7);
    CHECK(*never_run);
}

TEST_CASE("A failure in a job reaches its caller, and the thread goes on") {
    TestMicrophones microphones;
    microphones.add("default", noise(1, 1)).plug_in();
    PortAudioThread audio;
    CHECK_THROWS_AS(
        audio.run<bool>([]() -> bool { throw Failure(kExitFailure, "no"); }, milliseconds(10'000)), Failure);
    CHECK(audio.run<int>([] { return 7; }, milliseconds(10'000)) == 7);
}

TEST_CASE("The devices are listed with channels and rate") {
    TestMicrophones microphones;
    microphones.add("default", noise(1, 1)).add("second", noise(1, 2), 2).plug_in();
    PortAudioThread audio;
    const std::vector<InputDevice> devices = input_devices(audio);
    REQUIRE(devices.size() == 2);
    for (const InputDevice& device : devices) {
        CHECK(device.channels == (device.name == "second" ? 2 : 1));
        CHECK(device.default_rate_hz == 48000.0);
    }
    CHECK(choose_device(devices, "default").number != choose_device(devices, "second").number);
}

TEST_CASE("An empty ALSA configuration is a clear line, not an abort") {
    const TestFolder folder;
    write_bytes(folder.path("empty.conf"), "");
    setenv("ALSA_CONFIG_PATH", folder.path("empty.conf").c_str(), 1);
    CHECK_THROWS_WITH(PortAudioThread(),
                      Contains("empty.conf names no devices") && Contains("ALSA_CONFIG_PATH"));
}
