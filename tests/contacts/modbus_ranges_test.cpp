#include "daemon/contacts/modbus_ranges.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

ContactAddress discrete(int number) {
    return {"h", 502, 1, ModbusTable::kDiscrete, number};
}
ContactAddress coil(int number) {
    return {"h", 502, 1, ModbusTable::kCoil, number};
}

} // namespace

TEST_CASE("neighbouring inputs share one request", "[contacts]") {
    const auto ranges = modbus_ranges({discrete(5), discrete(0), discrete(2), discrete(2)});
    REQUIRE(ranges.size() == 1);
    CHECK(ranges[0].first == 0);
    CHECK(ranges[0].count == 6);
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
        std::vector<ContactAddress> addresses;
        const int spread = *rc::gen::element(10, 300, 5000, 65536);
        for (const int number : *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, spread))) {
            addresses.push_back(*rc::gen::arbitrary<bool>() ? coil(number) : discrete(number));
        }
        const auto ranges = modbus_ranges(addresses);
        for (const ModbusRange& range : ranges) {
            RC_ASSERT(range.count >= 1);
            RC_ASSERT(range.count <= 2000);
        }
        for (const ContactAddress& address : addresses) {
            int holding = 0;
            for (const ModbusRange& range : ranges) holding += range.holds(address) ? 1 : 0;
            RC_ASSERT(holding == 1);
        }
    });
    std::vector<ContactAddress> many;
    for (int number = 0; number < 5000; ++number) many.push_back(discrete(number));
    CHECK(modbus_ranges(many).size() == 3);
}
