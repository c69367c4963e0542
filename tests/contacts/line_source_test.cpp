#include "daemon/contacts/line/line_source.h"

#include <catch2/catch.hpp>

#include "daemon/contacts/source_thread.h"
#include "tests/contacts/contact_listener.h"
#include "tests/contacts/line_device.h"
#include "tests/contacts/test_station.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

using Kind = ContactEvent::Kind;

constexpr LineTiming kQuick{2.0, 0.5, 0.05, 0.01, 0.05};

// A source of two contacts, `gate` and `stun`, at a controller's address, and what it posts.
struct Wired {
    explicit Wired(const std::string& controller, const LineTiming& timing = kQuick) {
        std::vector<LineInput> inputs;
        for (const char* const name : {"gate", "stun"}) {
            const auto address = line_address_from(controller + "/input/" + name);
            REQUIRE(address);
            inputs.push_back({inputs.size(), *address});
        }
        source = std::make_unique<LineSource>(0, inputs, clock, timing);
        source->start(listener);
    }

    std::vector<ContactEdge> edges() {
        source->stop();
        check_order(listener.events());
        return edges_from(listener.events(), station_with({Role::kEntered, Role::kStunned}, 0.0));
    }

    const RealClock clock;
    Listener listener;
    std::unique_ptr<LineSource> source;
};

std::string at(const LineDevice& device) {
    return "line://127.0.0.1:" + std::to_string(device.port());
}

std::string serial(const std::string& path) {
    return "line:" + path + ":115200:8N1";
}

const LineDevice::States kOpen = {{"gate", '0'}, {"stun", '0'}, {"spare", '1'}};
const LineDevice::States kGateClosed = {{"gate", '1'}, {"stun", '0'}};

// The controller at `place` is killed and started again while its gate is closed.
template <typename MakeDevice>
void kill_and_restart(const MakeDevice& make, const std::string& address) {
    auto device = make(kGateClosed);
    Wired wired(address.empty() ? at(*device) : address);
    wired.listener.await_level(0, true);
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    const int port = device->port();
    device.reset();
    CHECK_FALSE(wired.listener.await(Kind::kLost, from).why.empty());
    from = wired.listener.count();
    const std::int64_t started_ns = wired.clock.monotonic_ns();
    device = make(kGateClosed, port);
    const ContactEvent back = wired.listener.await(Kind::kKnown, from);
    // Within its back-off of 0.05 s; the rest is for a busy machine.
    CHECK(back.at_ns - started_ns < 3'000'000'000);
    from = wired.listener.count();
    device->set("gate", '0');
    wired.listener.await_level(0, false, from);
    const auto edges = wired.edges();
    REQUIRE(edges.size() == 2);
    CHECK(edges[0].edge.closed);
    CHECK_FALSE(edges[1].edge.closed);
    CHECK(edges[1].edge.time_s >= static_cast<double>(started_ns) / 1e9);
}

} // namespace

TEST_CASE("inputs of a controller are told as they change, over TCP and over a serial port", "[contacts]") {
    const TestFolder folder;
    for (const bool over_tcp : {true, false}) {
        INFO(over_tcp);
        LineDevice device = over_tcp ? LineDevice(0, kOpen) : LineDevice(folder.path("port"), kOpen);
        Wired wired(over_tcp ? at(device) : serial(folder.path("port")));
        wired.listener.await(Kind::kKnown);
        const std::size_t from = wired.listener.count();
        device.set("stun", '1');
        const ContactEvent change = wired.listener.await_level(1, true, from);
        CHECK_FALSE(change.after_loss);
        device.set("spare", '0'); // wired to nothing
        CHECK(wired.edges().size() == 1);
    }
}

TEST_CASE("a change stands at the controller's stamp though its line comes late", "[contacts]") {
    LineDevice device(0, kOpen);
    Wired wired(at(device));
    // Some heartbeats, so that the least delay is known.
    for (int beat = 0; beat < 20; ++beat) wired.listener.await(Kind::kKnown, wired.listener.count());
    const std::size_t from = wired.listener.count();
    const std::int64_t before_ns = wired.clock.monotonic_ns();
    device.set_late("gate", '1', 150);
    const ContactEvent change = wired.listener.await_level(0, true, from);
    const std::int64_t late_ns = wired.clock.monotonic_ns() - before_ns;
    CHECK(late_ns >= 150'000'000);
    // Its stamp is rounded down to a millisecond, and its clock is known to the least delay of a heartbeat.
    CHECK(change.at_ns - before_ns < 100'000'000);
    CHECK(change.at_ns - before_ns > -20'000'000);
}

TEST_CASE("a controller on TCP that is killed and started again invents no edge, and the loss is told",
          "[contacts]") {
    kill_and_restart([](const LineDevice::States& states,
                        int port = 0) { return std::make_unique<LineDevice>(port, states); },
                     "");
}

TEST_CASE("a controller on a serial port that is unplugged and plugged in again invents no edge",
          "[contacts]") {
    const TestFolder folder;
    const std::string path = folder.path("port");
    kill_and_restart([&](const LineDevice::States& states,
                         int /*port*/ = 0) { return std::make_unique<LineDevice>(path, states); },
                     serial(path));
}

TEST_CASE("a controller that goes silent is lost, and found again", "[contacts]") {
    LineDevice device(0, kGateClosed);
    Wired wired(at(device), {0.1, 0.5, 0.05, 0.01, 0.05});
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    device.silent(true);
    CHECK(wired.listener.await(Kind::kLost, from).why == "no line came for 0.1 s");
    from = wired.listener.count();
    device.silent(false);
    wired.listener.await(Kind::kKnown, from);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a damaged line is a loss, and all states are asked for again", "[contacts]") {
    LineDevice device(0, kGateClosed);
    Wired wired(at(device));
    wired.listener.await(Kind::kKnown);
    const std::size_t from = wired.listener.count();
    device.say("in gaXe 0 17 *00");
    CHECK(wired.listener.await(Kind::kLost, from).why == "a line can't be read: 'in gaXe 0 17 *00'");
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    CHECK(device.asked() >= 2);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a controller whose clock began anew was started again: that is a loss", "[contacts]") {
    LineDevice device(0, kGateClosed);
    Wired wired(at(device));
    wired.listener.await(Kind::kKnown);
    const std::size_t from = wired.listener.count();
    device.restart_clock();
    CHECK(wired.listener.await(Kind::kLost, from).why == "its clock began anew");
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("an input that the controller does not know makes its contacts lost until it does", "[contacts]") {
    LineDevice device(0, kGateClosed);
    Wired wired(at(device));
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    device.set("stun", '?');
    CHECK(wired.listener.await(Kind::kLost, from).why == "it does not know the state of input stun");
    from = wired.listener.count();
    device.set("stun", '0');
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a controller that never tells an input is lost, with the input's name", "[contacts]") {
    LineDevice device(0, {{"gate", '1'}});
    Wired wired(at(device), {0.1, 0.5, 0.05, 0.01, 0.05});
    CHECK(wired.listener.await(Kind::kLost).why == "the state of input stun is not known");
    CHECK(wired.edges().empty());
}

TEST_CASE("without a controller all is lost, and stop does not wait for one", "[contacts]") {
    int port = 0;
    {
        const LineDevice gone(0, {});
        port = gone.port();
    }
    Wired wired("line://127.0.0.1:" + std::to_string(port), {0.5, 0.5, 0.05, 5.0, 5.0});
    CHECK(wired.listener.await(Kind::kLost).why == "Connection refused");
    const TestFolder folder;
    Wired unplugged(serial(folder.path("none")), {0.5, 0.5, 0.05, 5.0, 5.0});
    CHECK(unplugged.listener.await(Kind::kLost).why == "No such file or directory");
    const auto begun = RealTime::now();
    wired.source->stop();
    unplugged.source->stop();
    CHECK(RealTime::now() - begun < std::chrono::seconds(2));
}
