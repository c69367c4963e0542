// Where a contact's input is wired: the `input` of a [[contact]] in the station file.
//
// Form: modbus://host:port/unit/U/discrete/N or …/coil/N. host: a name, an IPv4 address or an IPv6 address in
// brackets; port: 1 … 65535, 502 (the registered port of Modbus TCP) when left out; U: 0 … 247 or 255; N: the
// address on the wire, 0 … 65535 (a device's manual may number the same input from 10001: take its number
// minus 10001).
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

enum class ModbusTable { kDiscrete, kCoil };

struct ContactAddress {
    std::string host;
    int port = 502;
    int unit = 1;
    ModbusTable table = ModbusTable::kDiscrete;
    int number = 0;

    // What is read in one go: "modbus://host:port/unit/U".
    std::string source() const;
};

// What an input must look like, for error messages.
inline constexpr std::string_view kContactAddressForm = "modbus://host:port/unit/U/discrete/N (or …/coil/N)";

// Nothing for anything that isn't of that form.
std::optional<ContactAddress> contact_address_from(std::string_view input);

} // namespace quietpass
