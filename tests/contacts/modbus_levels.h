// One level of a stand-in's memory, for the Modbus devices of the tests.
#pragma once

#include <modbus/modbus.h>

#include "daemon/contacts/addresses/modbus_address.h"

namespace quietpass {

inline void set_level(modbus_mapping_t& memory, ModbusTable table, int number, int bit, bool level) {
    const auto one = static_cast<std::uint8_t>(level ? 1 : 0);
    if (table == ModbusTable::kCoil) {
        memory.tab_bits[number] = one;
    } else if (table == ModbusTable::kDiscrete) {
        memory.tab_input_bits[number] = one;
    } else {
        std::uint16_t& word =
            (table == ModbusTable::kHolding ? memory.tab_registers : memory.tab_input_registers)[number];
        const auto mask = static_cast<std::uint16_t>(1U << bit);
        word = static_cast<std::uint16_t>(level ? word | mask : word & ~mask);
    }
}

} // namespace quietpass
