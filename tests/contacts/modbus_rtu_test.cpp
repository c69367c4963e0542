#include <catch2/catch.hpp>

#include "daemon/contacts/modbus/modbus_source.h"
#include "tests/contacts/contact_listener.h"
#include "tests/contacts/modbus_rtu_device.h"
#include "tests/contacts/test_station.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

using Kind = ContactEvent::Kind;

constexpr ModbusTiming kQuickLine{0.002, 0.3, 0.01, 0.05};

ModbusInput wired(std::size_t contact, const std::string& path, int unit, const std::string& where) {
    const auto address =
        modbus_address_from("modbus+rtu:" + path + ":115200:8N1/unit/" + std::to_string(unit) + where);
    REQUIRE(address);
    return {contact, *address};
}

} // namespace

TEST_CASE("inputs, coils and register bits are read over a serial line", "[contacts]") {
    const TestFolder folder;
    const std::string path = folder.path("port");
    ModbusRtuDevice device(path, 7);
    const RealClock clock;
    Listener listener;
    ModbusSource source(3,
                        {wired(0, path, 7, "/discrete/2"), wired(1, path, 7, "/coil/2"),
                         wired(2, path, 7, "/holding/9/bit/15"), wired(4, path, 7, "/input/9/bit/0")},
                        clock, kQuickLine);
    CHECK(source.name() == "modbus+rtu:" + path + ":115200:8N1");
    source.start(listener);
    listener.await(Kind::kKnown);
    const std::pair<std::size_t, ModbusTable> wires[] = {{0, ModbusTable::kDiscrete},
                                                         {1, ModbusTable::kCoil},
                                                         {2, ModbusTable::kHolding},
                                                         {4, ModbusTable::kInput}};
    for (const auto& [contact, table] : wires) {
        const std::size_t from = listener.count();
        const bool in_register = is_register(table);
        const int bit = table == ModbusTable::kHolding ? 15 : 0;
        device.set(table, in_register ? 9 : 2, true, bit);
        const ContactEvent change = listener.await_level(contact, true, from);
        CHECK(change.source == 3);
        CHECK_FALSE(change.after_loss);
    }
    source.stop();
    std::size_t changes = 0;
    for (const ContactEvent& event : listener.events()) changes += event.kind == Kind::kChange && event.level;
    CHECK(changes == 4);
    check_order(listener.events());
}

TEST_CASE("a serial line that is unplugged and plugged in again invents no edge, and the loss is told",
          "[contacts]") {
    const TestFolder folder;
    const std::string path = folder.path("port");
    const std::vector<int> closed = {0};
    auto device = std::make_unique<ModbusRtuDevice>(path, 1, closed);
    const RealClock clock;
    Listener listener;
    ModbusSource source(0, {wired(0, path, 1, "/discrete/0"), wired(1, path, 1, "/discrete/1")}, clock,
                        kQuickLine);
    source.start(listener);
    listener.await_level(0, true);
    std::size_t from = listener.count();
    listener.await(Kind::kKnown, from);
    from = listener.count();
    device.reset();
    CHECK_FALSE(listener.await(Kind::kLost, from).why.empty());
    from = listener.count();
    const std::int64_t plugged_ns = clock.monotonic_ns();
    device = std::make_unique<ModbusRtuDevice>(path, 1, closed);
    const ContactEvent back = listener.await(Kind::kKnown, from);
    // Within its back-off of 0.05 s and an answer; the rest is for a busy machine.
    CHECK(back.at_ns - plugged_ns < 3'000'000'000);
    source.stop();
    check_order(listener.events());
    const auto edges = edges_from(listener.events(), station_with({Role::kEntered, Role::kReleased}, 0.0));
    CHECK(edges.size() == 1);
}

TEST_CASE("a unit that does not answer makes its serial line lost", "[contacts]") {
    const TestFolder folder;
    const std::string path = folder.path("port");
    const ModbusRtuDevice device(path, 1);
    const RealClock clock;
    Listener listener;
    ModbusSource source(0, {wired(0, path, 1, "/discrete/0"), wired(1, path, 2, "/discrete/0")}, clock,
                        {0.002, 0.05, 0.01, 0.05});
    source.start(listener);
    CHECK(listener.await(Kind::kLost).why == "no answer: look at its power, its address and the cable");
    source.stop();
    for (const ContactEvent& event : listener.events()) CHECK(event.kind == Kind::kLost);
}
