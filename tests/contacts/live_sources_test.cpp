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
        "s.toml: contact 0: input: expected modbus://host:port/unit/U/discrete/N (or …/coil/N), found "
        "''; a running station needs it for every contact");
    CHECK_THROWS_AS(live_sources(station({""}), clock), Failure);
}
