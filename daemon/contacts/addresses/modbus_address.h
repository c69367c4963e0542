// A contact wired to a Modbus device: modbus://host:port/unit/U/WHERE (TCP) or
// modbus+rtu:DEVICE[:BAUD[:FRAME]]/unit/U/WHERE (a serial line, see serial_line.h).
//
// WHERE: discrete/N, coil/N, or bit B of a register: holding/N/bit/B, input/N/bit/B. port: 502 (the
// registered port of Modbus TCP) when left out; BAUD and FRAME: 19200 and 8E1 (the defaults of the Modbus
// serial line specification, from memory). U: 0 … 247 or 255, on a serial line 1 … 247; N: the address on the
// wire, 0 … 65535 (a device's manual may number the same input from 10001, 30001 or 40001: take its number
// minus that); B: 0 (the lowest) … 15.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "daemon/contacts/addresses/serial_line.h"

namespace quietpass {

enum class ModbusTable { kDiscrete, kCoil, kHolding, kInput };

inline bool is_register(ModbusTable table) {
    return table == ModbusTable::kHolding || table == ModbusTable::kInput;
}

struct ModbusAddress {
    std::string host;
    int port = 502;
    int unit = 1;
    ModbusTable table = ModbusTable::kDiscrete;
    int number = 0;
    int bit = 0;                           // of a register
    std::optional<SerialLine> serial = {}; // in place of host and port

    // Over TCP the device: "modbus://host:port/unit/U". On a serial line the line, whose units take turns:
    // "modbus+rtu:DEVICE:BAUD:FRAME".
    std::string source() const;
    // Which of the source's: "unit/U/discrete/N" …
    std::string place() const;
};

inline constexpr std::string_view kModbusForm =
    "modbus://host:port/unit/U/discrete/N (or …/coil/N, …/holding/N/bit/B, …/input/N/bit/B)";
inline constexpr std::string_view kModbusRtuForm =
    "modbus+rtu:/dev/ttyUSB0:19200:8E1/unit/U/discrete/N (or …/coil/N, …/holding/N/bit/B, …/input/N/bit/B)";

// Nothing for anything that isn't of one of the forms.
std::optional<ModbusAddress> modbus_address_from(std::string_view input);

} // namespace quietpass
