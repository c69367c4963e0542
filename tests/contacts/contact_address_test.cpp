#include "daemon/contacts/contact_address.h"

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("a Modbus input is read part by part", "[contacts]") {
    const auto discrete = contact_address_from("modbus://192.0.2.10:1502/unit/17/discrete/65535");
    REQUIRE(discrete);
    CHECK(discrete->host == "192.0.2.10");
    CHECK(discrete->port == 1502);
    CHECK(discrete->unit == 17);
    CHECK(discrete->table == ModbusTable::kDiscrete);
    CHECK(discrete->number == 65535);
    CHECK(discrete->source() == "modbus://192.0.2.10:1502/unit/17");

    const auto coil = contact_address_from("modbus://plc.example/unit/255/coil/0");
    REQUIRE(coil);
    CHECK(coil->host == "plc.example");
    CHECK(coil->port == 502);
    CHECK(coil->unit == 255);
    CHECK(coil->table == ModbusTable::kCoil);
}

TEST_CASE("an IPv6 address stands in brackets", "[contacts]") {
    const auto address = contact_address_from("modbus://[2001:db8::1]:1502/unit/1/discrete/3");
    REQUIRE(address);
    CHECK(address->host == "2001:db8::1");
    CHECK(address->source() == "modbus://[2001:db8::1]:1502/unit/1");
}

TEST_CASE("anything else is no Modbus input", "[contacts]") {
    const char* const wrong[] = {"",
                                 "entered",
                                 "gpio:3",
                                 "modbus:/",
                                 "modbus://",
                                 "modbus://:502/unit/1/discrete/0",
                                 "modbus://h",
                                 "modbus://h:/unit/1/discrete/0",
                                 "modbus://h:0/unit/1/discrete/0",
                                 "modbus://h:65536/unit/1/discrete/0",
                                 "modbus://h:-1/unit/1/discrete/0",
                                 "modbus://h:99999999999999999999/unit/1/discrete/0",
                                 "modbus://h:502/unit/248/discrete/0",
                                 "modbus://h:502/unit/256/discrete/0",
                                 "modbus://h:502/unit//discrete/0",
                                 "modbus://h:502/unit/1/register/0",
                                 "modbus://h:502/unit/1/discrete/",
                                 "modbus://h:502/unit/1/discrete/65536",
                                 "modbus://h:502/unit/1/discrete/-0",
                                 "modbus://h:502/unit/1/discrete/0x1",
                                 "modbus://h:502/unit/1/discrete/0/",
                                 "modbus://h:502/unit/1/discrete/0 ",
                                 " modbus://h:502/unit/1/discrete/0",
                                 "modbus://user@h:502/unit/1/discrete/0",
                                 "modbus://[::1:502/unit/1/discrete/0",
                                 "Modbus://h:502/unit/1/discrete/0"};
    for (const char* const input : wrong) {
        INFO(input);
        CHECK_FALSE(contact_address_from(input));
    }
}
