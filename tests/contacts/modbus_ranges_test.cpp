#include "daemon/contacts/modbus/modbus_ranges.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

ModbusAddress discrete(int number) {
    return {"h", 502, 1, ModbusTable::kDiscrete, number};
}
ModbusAddress coil(int number) {
    return {"h", 502, 1, ModbusTable::kCoil, number};
}

} // namespace

TEST_CASE("neighbouring inputs share one request", "[contacts]") {
    const auto ranges = modbus_ranges({discrete(5), discrete(0), discrete(2), discrete(2)});
    REQUIRE(ranges.size() == 1);
    CHECK(ranges[0].first == 0);
    CHECK(ranges[0].count == 6);
}

TEST_CASE("units are read apart, and bits of one register together", "[contacts]") {
    const auto bit = [](int unit, int number, int place) {
        return ModbusAddress{"h", 502, unit, ModbusTable::kHolding, number, place, {}};
    };
    const auto ranges = modbus_ranges({bit(2, 40, 3), bit(1, 40, 0), bit(1, 40, 15), bit(1, 41, 1)});
    REQUIRE(ranges.size() == 2);
    CHECK(ranges[0].unit == 1);
    CHECK(ranges[0].count == 2);
    CHECK(ranges[1].unit == 2);
    CHECK(ranges[1].count == 1);
}

TEST_CASE("one request reads at most 125 registers", "[contacts]") {
    std::vector<ModbusAddress> many;
    for (int number = 0; number < 250; ++number)
        many.push_back({"h", 502, 1, ModbusTable::kInput, number, 0, {}});
    const auto ranges = modbus_ranges(many);
    REQUIRE(ranges.size() == 2);
    CHECK(ranges[0].count == 125);
    CHECK(ranges[1].count == 125);
}

TEST_CASE("tables and far numbers are read apart", "[contacts]") {
    const auto ranges = modbus_ranges({coil(1), discrete(100), discrete(1), discrete(91), discrete(81)});
    REQUIRE(ranges.size() == 4);
    CHECK(ranges[0].first == 1);
    CHECK(ranges[1].first == 81);
    CHECK(ranges[1].count == 1);
    CHECK(ranges[2].first == 91);
    CHECK(ranges[2].count == 10);
    CHECK(ranges[3].table == ModbusTable::kCoil);
}

TEST_CASE("every input is in exactly one request of at most 2000 bits", "[contacts]") {
    rc::prop("ranges cover", [] {
        std::vector<ModbusAddress> addresses;
        const int spread = *rc::gen::element(10, 300, 5000, 65536);
        for (const int number : *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, spread))) {
            addresses.push_back(*rc::gen::arbitrary<bool>() ? coil(number) : discrete(number));
        }
        const auto ranges = modbus_ranges(addresses);
        for (const ModbusRange& range : ranges) {
            RC_ASSERT(range.count >= 1);
            RC_ASSERT(range.count <= 2000);
        }
        for (const ModbusAddress& address : addresses) {
            int holding = 0;
            for (const ModbusRange& range : ranges) holding += range.holds(address) ? 1 : 0;
            RC_ASSERT(holding == 1);
        }
    });
    std::vector<ModbusAddress> many;
    for (int number = 0; number < 5000; ++number) many.push_back(discrete(number));
    CHECK(modbus_ranges(many).size() == 3);
}
