#include "daemon/contacts/addresses/modbus_address.h"

#include "daemon/contacts/addresses/address_reader.h"

namespace quietpass {

namespace {

constexpr std::string_view kUnit = "/unit/";

bool eat_where(AddressReader& input, ModbusAddress& address) {
    if (input.eat("/coil/")) {
        address.table = ModbusTable::kCoil;
    } else if (input.eat("/holding/")) {
        address.table = ModbusTable::kHolding;
    } else if (input.eat("/input/")) {
        address.table = ModbusTable::kInput;
    } else if (!input.eat("/discrete/")) {
        return false;
    }
    const auto number = input.eat_number(65535);
    if (!number) return false;
    address.number = *number;
    if (is_register(address.table)) {
        if (!input.eat("/bit/")) return false;
        const auto bit = input.eat_number(15);
        if (!bit) return false;
        address.bit = *bit;
    }
    return input.at_end();
}

} // namespace

std::string ModbusAddress::source() const {
    if (serial) return "modbus+rtu:" + serial->text();
    return "modbus://" + host_and_port(host, port) + std::string(kUnit) + std::to_string(unit);
}

std::string ModbusAddress::place() const {
    const std::string where = "unit/" + std::to_string(unit);
    const std::string at = std::to_string(number);
    switch (table) {
        case ModbusTable::kDiscrete:
            return where + "/discrete/" + at;
        case ModbusTable::kCoil:
            return where + "/coil/" + at;
        case ModbusTable::kHolding:
            return where + "/holding/" + at + "/bit/" + std::to_string(bit);
        case ModbusTable::kInput:
            return where + "/input/" + at + "/bit/" + std::to_string(bit);
    }
    return where;
}

std::optional<ModbusAddress> modbus_address_from(std::string_view text) {
    ModbusAddress address;
    AddressReader input(text);
    if (input.eat("modbus+rtu:")) {
        const std::size_t end = input.rest().rfind(kUnit);
        if (end == std::string_view::npos) return std::nullopt;
        address.serial = serial_line_from(input.rest().substr(0, end), SerialLine{});
        if (!address.serial) return std::nullopt;
        input = AddressReader(input.rest().substr(end));
    } else {
        if (!input.eat("modbus://")) return std::nullopt;
        const auto host = input.eat_host();
        if (!host) return std::nullopt;
        const auto port = input.eat_port(address.port);
        if (!port) return std::nullopt;
        address.host = *host;
        address.port = *port;
    }
    if (!input.eat(kUnit)) return std::nullopt;
    const auto unit = input.eat_number(255);
    // Unit 0 of a serial line is a call to all, which none answers.
    if (!unit || (*unit > 247 && *unit != 255) || (address.serial && (*unit == 0 || *unit == 255))) {
        return std::nullopt;
    }
    address.unit = *unit;
    if (!eat_where(input, address)) return std::nullopt;
    return address;
}

} // namespace quietpass
