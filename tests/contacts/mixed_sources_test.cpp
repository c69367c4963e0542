// Contacts of one station on all kinds of devices at the same time.

#include <catch2/catch.hpp>
#include <chrono>
#include <memory>
#include <thread>

#include "daemon/contacts/contact_inputs.h"
#include "daemon/contacts/contact_queue.h"
#include "daemon/contacts/live_sources.h"
#include "tests/contacts/line_device.h"
#include "tests/contacts/modbus_rtu_device.h"
#include "tests/contacts/modbus_server.h"
#include "tests/contacts/test_station.h"
#include "tests/servers/mqtt_broker.h"
#include "tests/test_folder.h"

using namespace quietpass;
using namespace std::chrono_literals;

namespace {

// What a station makes of its sources, as its loop does.
class Loop {
  public:
    Loop(const StationSettings& settings, const Clock& clock)
        : live_(live_sources(settings, clock)), inputs_(settings, live_.source_of) {
        for (const auto& source : live_.sources) source->start(queue_);
    }

    // Waits for the next edge; none within ten seconds fails the test.
    Edge next_edge() {
        const auto give_up = std::chrono::steady_clock::now() + 10s;
        ContactEdge edge;
        while (!inputs_.take(edge)) {
            REQUIRE(std::chrono::steady_clock::now() < give_up);
            take();
        }
        return edge.edge;
    }
    void wait_for_outage_of(std::size_t contact) {
        const auto give_up = std::chrono::steady_clock::now() + 10s;
        for (ContactOutage outage; !(inputs_.take(outage) && outage.contact == contact);) {
            REQUIRE(std::chrono::steady_clock::now() < give_up);
            take();
        }
    }
    // News on the way there are dropped: a busy machine may be late at the start.
    void wait_until_known(double time_s) {
        const auto give_up = std::chrono::steady_clock::now() + 10s;
        ContactNews news;
        while (inputs_.take(news) || inputs_.known_until_s() < time_s) {
            REQUIRE(std::chrono::steady_clock::now() < give_up);
            take();
        }
    }

  private:
    void take() {
        std::this_thread::sleep_for(1ms);
        queue_.take_all(events_);
        for (const ContactEvent& event : events_) {
            inputs_.take(event, static_cast<double>(event.at_ns) / 1e9,
                         static_cast<double>(event.from_ns) / 1e9);
        }
    }

    ContactQueue queue_;
    LiveSources live_;
    ContactInputs inputs_;
    std::vector<ContactEvent> events_;
};

double seconds(const Clock& clock) {
    return static_cast<double>(clock.monotonic_ns()) / 1e9;
}

} // namespace

TEST_CASE("contacts on Modbus TCP, Modbus RTU, MQTT and a line controller make one order of edges",
          "[contacts]") {
    const TestFolder folder;
    ModbusServer modbus;
    const std::jthread serving([&](const std::stop_token& stop) {
        while (!stop.stop_requested()) modbus.serve(1ms);
    });
    ModbusRtuDevice rtu(folder.path("rtu"), 5);
    test::MqttBroker broker;
    broker.publish("box/stun", "open");
    auto controller = std::make_unique<LineDevice>(0, LineDevice::States{{"exit", '0'}});
    const int controller_port = controller->port();

    StationSettings settings =
        station_with({Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased}, 0.010);
    settings.contacts[0].input = "modbus://127.0.0.1:" + std::to_string(modbus.port()) + "/unit/1/coil/3";
    settings.contacts[1].input = "modbus+rtu:" + folder.path("rtu") + ":115200:8N1/unit/5/holding/2/bit/7";
    settings.contacts[2].input = "mqtt://127.0.0.1:" + std::to_string(broker.port()) + "/box/stun";
    settings.contacts[3].input = "line://127.0.0.1:" + std::to_string(controller_port) + "/input/exit";
    const RealClock clock;
    {
        Loop loop(settings, clock);
        loop.wait_until_known(seconds(clock));
        for (const bool closed : {true, false}) {
            modbus.set(ModbusTable::kCoil, 3, closed);
            Edge edge = loop.next_edge();
            CHECK((edge.role == Role::kEntered && edge.closed == closed));
            rtu.set(ModbusTable::kHolding, 2, closed, 7);
            edge = loop.next_edge();
            CHECK((edge.role == Role::kHeld && edge.closed == closed));
            broker.publish("box/stun", closed ? "closed" : "open");
            edge = loop.next_edge();
            CHECK((edge.role == Role::kStunned && edge.closed == closed));
            controller->set("exit", closed ? '1' : '0');
            edge = loop.next_edge();
            CHECK((edge.role == Role::kReleased && edge.closed == closed));
        }

        // One of them is lost: the others go on and are not held up.
        controller.reset();
        loop.wait_for_outage_of(3);
        modbus.set(ModbusTable::kCoil, 3, true);
        CHECK(loop.next_edge().role == Role::kEntered);
        controller = std::make_unique<LineDevice>(controller_port, LineDevice::States{{"exit", '0'}});
        modbus.set(ModbusTable::kCoil, 3, false);
        const Edge last = loop.next_edge();
        CHECK((last.role == Role::kEntered && !last.closed));
    }
}

TEST_CASE("a broker's login that can't be read, or of which there are two, stops the start", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered, Role::kStunned});
    settings.contacts[0].input = "mqtt://127.0.0.1/gate";
    settings.contacts[0].login_file = "/nowhere/login";
    settings.contacts[1].input = "mqtt://127.0.0.1/stun";
    const RealClock clock;
    CHECK_THROWS_WITH(live_sources(settings, clock),
                      "/nowhere/login: can't be opened (No such file or directory)");
    settings.contacts[1].login_file = "/nowhere/other";
    CHECK_THROWS_WITH(live_sources(settings, clock),
                      "s.toml: contact stunned: login_file: another contact of mqtt://127.0.0.1:1883 has "
                      "/nowhere/login; one broker has one login");
    settings.contacts[0].login_file = settings.contacts[1].login_file = "";
    settings.contacts[0].input = "mqtts://127.0.0.1/gate";
    settings.contacts[1].input = "mqtts://127.0.0.1:8883/stun";
    settings.contacts[0].ca_file = "/plant/ca.pem";
    settings.contacts[1].ca_file = "/plant/other.pem";
    CHECK_THROWS_WITH(live_sources(settings, clock),
                      "s.toml: contact stunned: ca_file: another contact of mqtts://127.0.0.1:8883 has "
                      "/plant/ca.pem; one broker has one certificate");
}
