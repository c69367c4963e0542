#include "daemon/capture/devices.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"

using Catch::Contains;
using quietpass::choose_device;
using quietpass::Failure;
using quietpass::InputDevice;

namespace {

const std::vector<InputDevice> kDevices = {{0, "Boundary Mic: USB Audio (hw:1,0)", 1, 48000.0, 0.01},
                                           {1, "Interface: USB Audio (hw:2,0)", 2, 48000.0, 0.01},
                                           {2, "default", 2, 44100.0, 0.01},
                                           {3, "default of the server", 2, 44100.0, 0.01}};

std::string failure_of(const std::vector<InputDevice>& devices, const std::string& wished) {
    try {
        choose_device(devices, wished);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == quietpass::kExitUsage);
        return failure.what();
    }
    return "";
}

} // namespace

TEST_CASE("A device is found by its whole name or by a part that only one has") {
    CHECK(choose_device(kDevices, "Interface: USB Audio (hw:2,0)").number == 1);
    CHECK(choose_device(kDevices, "Boundary").number == 0);
    CHECK(choose_device(kDevices, "hw:2,0").number == 1);
    CHECK(choose_device(kDevices, "default").number == 2); // whole name before part
}

TEST_CASE("A device that isn't there is answered with those that are") {
    CHECK_THAT(failure_of(kDevices, "Headset"),
               Contains("Headset") && Contains("isn't there") &&
                   Contains("\"Boundary Mic: USB Audio (hw:1,0)\", \"Interface"));
    CHECK_THAT(failure_of({}, "Headset"), Contains("nor any other input"));
    CHECK_THAT(failure_of(kDevices, ""), Contains("isn't there"));
    CHECK_THAT(failure_of(kDevices, "hw:CARD=Nowhere"),
               Contains("hw:CARD=Nowhere") && Contains("isn't there"));
}

TEST_CASE("A part that several devices have is answered with those") {
    CHECK_THAT(failure_of(kDevices, "USB"),
               Contains("fits more than one") && Contains("(hw:1,0)\", \"Interface") && !Contains("default"));
}
