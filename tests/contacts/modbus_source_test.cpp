#include "daemon/contacts/modbus/modbus_source.h"

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <thread>

#include "daemon/contacts/live_sources.h"
#include "tests/contacts/contact_listener.h"
#include "tests/contacts/modbus_server.h"
#include "tests/contacts/test_station.h"

using namespace quietpass;
using namespace std::chrono_literals;

namespace {

using Kind = ContactEvent::Kind;

// A device that runs until it is destroyed.
class Device {
  public:
    // The first input's level is there before the first answer.
    explicit Device(int port = 0, bool first_closed = false) : server(port) {
        close(0, first_closed);
        thread_ = std::thread([this] {
            while (!stopping_) server.serve(1ms);
        });
    }
    ~Device() {
        stopping_ = true;
        thread_.join();
    }
    void close(int number, bool closed = true) { server.set(ModbusTable::kDiscrete, number, closed); }

    ModbusServer server;

  private:
    std::atomic<bool> stopping_{false};
    std::thread thread_;
};

constexpr ModbusTiming kQuick{0.002, 0.5, 0.01, 0.05};

struct Wired {
    explicit Wired(int port, const Clock& clock, std::size_t contacts = 2,
                   const ModbusTiming& timing = kQuick) {
        settings = station_with({Role::kEntered, Role::kReleased}, 0.0);
        settings.contacts.resize(contacts);
        wire(settings, port);
        source = std::move(live_sources(settings, clock, {timing}).sources.at(0));
        source->start(listener);
    }

    // Stops, and gives the edges that all that was posted makes.
    std::vector<ContactEdge> edges() {
        source->stop();
        return edges_from(listener.events(), settings);
    }

    StationSettings settings;
    Listener listener;
    std::unique_ptr<ContactSource> source;
};

} // namespace

TEST_CASE("a change is stamped with the time it was read at, by the clock's speed", "[contacts]") {
    Device device;
    const ScaledClock clock(8.0);
    Wired wired(device.server.port(), clock);
    const ContactEvent known = wired.listener.await(Kind::kKnown);
    CHECK(known.at_ns <= clock.monotonic_ns());

    const std::int64_t before_ns = clock.monotonic_ns();
    device.close(1);
    const ContactEvent change = wired.listener.await_level(1, true);
    CHECK(change.at_ns <= clock.monotonic_ns());
    CHECK_FALSE(change.after_loss);
    // The request may have been under way already.
    const std::int64_t round_trip_ns = 8 * 500'000'000LL;
    CHECK(change.at_ns >= before_ns - round_trip_ns);

    device.close(1, false);
    wired.listener.await_level(1, false, wired.listener.count() - 1);
    wired.source->stop();
    check_order(wired.listener.events());
}

TEST_CASE("contacts side by side are read in one request", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock);
    wired.listener.await_level(0, false);
    device.close(0);
    wired.listener.await_level(0, true);
    wired.source->stop();
    int reads = 0;
    for (const ContactEvent& event : wired.listener.events()) reads += event.kind == Kind::kKnown ? 1 : 0;
    CHECK(device.server.requests() == reads);
}

TEST_CASE("coils are read as discrete inputs are", "[contacts]") {
    Device device;
    const RealClock clock;
    Listener listener;
    ModbusSource source(5,
                        {{7, {"127.0.0.1", device.server.port(), 1, ModbusTable::kCoil, 3}},
                         {8, {"127.0.0.1", device.server.port(), 1, ModbusTable::kDiscrete, 3}}},
                        clock, kQuick);
    source.start(listener);
    listener.await_level(7, false);
    device.server.set(ModbusTable::kCoil, 3, true);
    CHECK(listener.await_level(7, true).source == 5);
    source.stop();
    for (const ContactEvent& event : listener.events()) CHECK_FALSE((event.contact == 8 && event.level));
}

TEST_CASE("a device that is killed and started again invents no edge, and the lost span is told",
          "[contacts]") {
    const RealClock clock;
    auto device = std::make_unique<Device>(0, true);
    const int port = device->server.port();
    Wired wired(port, clock);
    wired.listener.await_level(0, true);
    wired.listener.await(Kind::kKnown, wired.listener.count());
    const std::size_t before = wired.listener.count();
    const std::int64_t killed_ns = clock.monotonic_ns();
    device.reset();
    const ContactEvent lost = wired.listener.await(Kind::kLost, before);
    CHECK_FALSE(lost.why.empty());

    const std::int64_t restarted_ns = clock.monotonic_ns();
    device = std::make_unique<Device>(port, true);
    const ContactEvent back = wired.listener.await_level(0, true, before);
    CHECK(back.after_loss);
    CHECK(back.at_ns >= restarted_ns);
    wired.listener.await(Kind::kKnown, wired.listener.count());
    const auto edges = wired.edges();
    REQUIRE(edges.size() == 1);
    // Edges stand on whole milliseconds.
    CHECK(edges[0].edge.time_s <= static_cast<double>(killed_ns) / 1e9 + 0.0005);

    const auto events = wired.listener.events();
    check_order(events);
    // The spans touch each other, from the last good read to the first.
    std::int64_t known_ns = 0;
    std::int64_t first_lost_ns = 0;
    for (const ContactEvent& event : events) {
        if (event.kind == Kind::kLost) {
            CHECK(event.from_ns == known_ns);
            if (first_lost_ns == 0) first_lost_ns = event.from_ns;
        }
        if (event.kind != Kind::kChange) known_ns = event.at_ns;
        if (event.kind == Kind::kChange && event.at_ns > killed_ns) CHECK(event.at_ns >= restarted_ns);
    }
    CHECK(first_lost_ns <= restarted_ns);
}

TEST_CASE("connections that break while levels hold give no edge at all", "[contacts]") {
    Device device;
    device.close(0);
    const RealClock clock;
    Wired wired(device.server.port(), clock);
    wired.listener.await_level(0, true);
    for (int time = 0; time < 3; ++time) {
        const std::size_t from = wired.listener.count();
        device.server.drop_clients();
        wired.listener.await(Kind::kLost, from);
        const ContactEvent back = wired.listener.await_level(0, true, from);
        CHECK(back.after_loss);
    }
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("an input that changed during a loss is told at the return, and marked", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock);
    wired.listener.await(Kind::kKnown);
    const std::size_t from = wired.listener.count();
    device.server.down(true);
    wired.listener.await(Kind::kLost, from);
    device.close(0);
    const std::int64_t up_ns = clock.monotonic_ns();
    device.server.down(false);
    const ContactEvent change = wired.listener.await_level(0, true, from);
    CHECK(change.after_loss);
    CHECK(change.at_ns >= up_ns);
    const auto edges = wired.edges();
    REQUIRE(edges.size() == 1);
    CHECK(edges[0].edge.time_s >= static_cast<double>(up_ns) / 1e9 - 0.001);
}

TEST_CASE("a device that takes requests and does not answer is lost, and found again", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock, 2, {0.002, 0.05, 0.01, 0.05});
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    device.server.mute(true);
    const ContactEvent lost = wired.listener.await(Kind::kLost, from);
    CHECK(lost.why == "no answer: look at its power, its address and the cable");
    CHECK(lost.at_ns - lost.from_ns >= 40'000'000);
    from = wired.listener.count();
    device.server.mute(false);
    wired.listener.await(Kind::kKnown, from);
    CHECK(wired.edges().empty());
    check_order(wired.listener.events());
}

TEST_CASE("stop waits no longer than for the answer under way", "[contacts]") {
    Device device;
    device.server.mute(true);
    const RealClock clock;
    Wired wired(device.server.port(), clock, 2, {0.002, 0.2, 5.0, 5.0});
    const auto begun = std::chrono::steady_clock::now();
    wired.source->stop();
    // The bound is 0.2 s; the rest is for a busy machine. The wait before the next try would take 5 s.
    CHECK(std::chrono::steady_clock::now() - begun < 2s);
}

TEST_CASE("without a device all is lost from the start to the stop", "[contacts]") {
    int port = 0;
    {
        const ModbusServer server;
        port = server.port();
    }
    const RealClock clock;
    const std::int64_t begun_ns = clock.monotonic_ns();
    Wired wired(port, clock);
    CHECK(wired.listener.await(Kind::kLost).why == "refused: another port there, or Modbus switched off");
    wired.listener.await(Kind::kLost, 1);
    const std::int64_t stopped_ns = clock.monotonic_ns();
    wired.source->stop();
    const auto events = wired.listener.events();
    CHECK(events.front().from_ns >= begun_ns);
    CHECK(events.back().at_ns >= stopped_ns);
    for (std::size_t i = 1; i < events.size(); ++i) {
        CHECK(events[i].kind == Kind::kLost);
        CHECK(events[i].from_ns == events[i - 1].at_ns);
    }
}

TEST_CASE("a time in which this machine did not read is lost as well", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock, 2, {0.002, 0.1, 0.01, 0.05});
    wired.listener.await(Kind::kKnown);
    const std::size_t from = wired.listener.count();
    wired.listener.block_for_ms = 300;
    const ContactEvent lost = wired.listener.await(Kind::kLost, from);
    CHECK(lost.why == "this machine did not get round to reading it");
    CHECK(lost.at_ns - lost.from_ns >= 200'000'000);
    wired.source->stop();
    check_order(wired.listener.events());
}

TEST_CASE("a source can be stopped twice and started again", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock);
    wired.listener.await(Kind::kKnown);
    wired.source->stop();
    wired.source->stop();
    const std::size_t from = wired.listener.count();
    wired.source->start(wired.listener);
    wired.listener.await(Kind::kKnown, from);
    wired.source->stop();
}

TEST_CASE("a contact's edge is known well within 0.2 s of its change", "[contacts]") {
    Device device;
    const RealClock clock;
    Wired wired(device.server.port(), clock, 2, {}); // as a station runs
    wired.listener.await(Kind::kKnown);
    std::vector<double> posted_ms;
    std::vector<double> edge_ms;
    for (int change = 0; change < 41; ++change) {
        const bool closed = change % 2 == 0;
        const std::size_t from = wired.listener.count();
        const std::int64_t begun_ns = clock.monotonic_ns();
        device.close(0, closed);
        const ContactEvent event = wired.listener.await_level(0, closed, from);
        posted_ms.push_back(static_cast<double>(clock.monotonic_ns() - begun_ns) / 1e6);
        // An edge comes out when its debounce is known to be over.
        const auto debounce_ns = static_cast<std::int64_t>(ContactSettings{}.debounce_s * 1e9);
        wired.listener.await(
            [&](const ContactEvent& known) {
                return known.kind == Kind::kKnown && known.at_ns >= event.at_ns + debounce_ns;
            },
            from);
        edge_ms.push_back(static_cast<double>(clock.monotonic_ns() - begun_ns) / 1e6);
    }
    std::sort(posted_ms.begin(), posted_ms.end());
    std::sort(edge_ms.begin(), edge_ms.end());
    const auto words = [](const std::vector<double>& ms) {
        return "median " + std::to_string(ms[ms.size() / 2]) + " ms, worst " + std::to_string(ms.back()) +
               " ms";
    };
    WARN("Modbus on loopback, 41 changes: to the posted event "
         << words(posted_ms) << "; to the debounced edge " << words(edge_ms));
    CHECK(posted_ms[posted_ms.size() / 2] < 100.0);
    CHECK(edge_ms[edge_ms.size() / 2] < 200.0);
}

TEST_CASE("bits of registers are read, neighbours of one register in one request", "[contacts]") {
    Device device;
    const RealClock clock;
    Listener listener;
    const auto bit = [&](ModbusTable table, int number, int place) {
        return ModbusAddress{"127.0.0.1", device.server.port(), 1, table, number, place, {}};
    };
    ModbusSource source(0,
                        {{0, bit(ModbusTable::kHolding, 40, 0)},
                         {1, bit(ModbusTable::kHolding, 40, 15)},
                         {2, bit(ModbusTable::kInput, 40, 0)}},
                        clock, kQuick);
    source.start(listener);
    listener.await(Kind::kKnown);
    device.server.set(ModbusTable::kHolding, 40, true, 15);
    listener.await_level(1, true);
    device.server.set(ModbusTable::kHolding, 40, true, 0);
    listener.await_level(0, true);
    source.stop();
    int reads = 0;
    for (const ContactEvent& event : listener.events()) {
        reads += event.kind == Kind::kKnown ? 1 : 0;
        CHECK_FALSE((event.contact == 2 && event.level));
    }
    CHECK(device.server.requests() == 2 * reads);
}
