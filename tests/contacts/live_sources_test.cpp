#include "daemon/contacts/live_sources.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "tests/contacts/simulated_clock.h"

using namespace quietpass;

namespace {

StationSettings station(const std::vector<std::string>& inputs) {
    StationSettings settings;
    settings.file = "s.toml";
    for (const std::string& input : inputs) {
        ContactSettings contact;
        contact.name = std::to_string(settings.contacts.size());
        contact.input = input;
        settings.contacts.push_back(contact);
    }
    return settings;
}

} // namespace

TEST_CASE("contacts of one device share a source, each device has its own", "[contacts]") {
    const SimulatedClock clock;
    const LiveSources live =
        live_sources(station({"modbus://a:502/unit/1/discrete/0", "modbus://a:502/unit/2/discrete/0",
                              "modbus://a/unit/1/coil/7", "modbus://b:502/unit/1/discrete/0"}),
                     clock);
    CHECK(live.source_of == std::vector<std::size_t>{0, 1, 0, 2});
    REQUIRE(live.sources.size() == 3);
    CHECK(live.sources[0]->name() == "modbus://a:502/unit/1");
    CHECK(live.sources[2]->name() == "modbus://b:502/unit/1");
}

TEST_CASE("a contact without an input can't be run live", "[contacts]") {
    const SimulatedClock clock;
    CHECK_THROWS_WITH(
        live_sources(station({""}), clock),
        "s.toml: contact 0: input: expected an address that begins with modbus://, "
        "modbus+rtu:, gpio:, mqtt://, mqtts:// or line: (see deploy/station.md), found ''; a running "
        "station needs it for every contact");
    CHECK_THROWS_AS(live_sources(station({""}), clock), Failure);
}

TEST_CASE("all units of a serial line share a source, and a port has one setting", "[contacts]") {
    const SimulatedClock clock;
    const LiveSources live = live_sources(
        station({"modbus+rtu:/dev/ttyUSB0/unit/1/discrete/0", "modbus+rtu:/dev/ttyUSB0:19200/unit/2/coil/0"}),
        clock);
    REQUIRE(live.sources.size() == 1);
    CHECK(live.sources[0]->name() == "modbus+rtu:/dev/ttyUSB0:19200:8E1");
    CHECK_THROWS_WITH(live_sources(station({"modbus+rtu:/dev/ttyUSB0/unit/1/discrete/0",
                                            "modbus+rtu:/dev/ttyUSB0:9600/unit/2/coil/0"}),
                                   clock),
                      "s.toml: contact 1: input: is on modbus+rtu:/dev/ttyUSB0:9600:8E1, another contact on "
                      "modbus+rtu:/dev/ttyUSB0:19200:8E1; one serial port has one setting");
}
