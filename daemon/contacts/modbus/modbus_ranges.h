// Which stretches of a device's inputs to read, so that few requests fetch them all.
//
// Inputs of one unit and table that lie within kLargestHole of each other share a request: a device's inputs
// stand side by side, but a far jump may cross numbers it does not have, which it answers with an error. One
// request holds at most 2000 bits or 125 registers (Modbus Application Protocol 1.1b3, functions 1 to 4).
// Pure.
#pragma once

#include <vector>

#include "daemon/contacts/addresses/modbus_address.h"

namespace quietpass {

inline constexpr int kLargestHole = 8;

struct ModbusRange {
    int unit = 1;
    ModbusTable table = ModbusTable::kDiscrete;
    int first = 0; // a bit or a register
    int count = 0;

    bool holds(const ModbusAddress& address) const {
        return address.unit == unit && address.table == table && address.number >= first &&
               address.number < first + count;
    }
};

// Sorted by unit, table and number; every address is in exactly one.
std::vector<ModbusRange> modbus_ranges(std::vector<ModbusAddress> addresses);

} // namespace quietpass
