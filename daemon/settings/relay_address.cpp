#include "daemon/settings/relay_address.h"

#include "daemon/contacts/addresses/gpio_address.h"
#include "daemon/contacts/addresses/modbus_address.h"

namespace quietpass {

std::optional<RelayAddress> relay_address_from(const std::string& text) {
    if (const auto gpio = gpio_address_from(text)) {
        // An output drives its line: there is nothing to pull.
        if (gpio->bias != GpioBias::kAsIs) return std::nullopt;
        return GpioLineAddress{gpio->chip, gpio->line};
    }
    const auto modbus = modbus_address_from(text);
    if (!modbus || modbus->serial || modbus->table != ModbusTable::kCoil) return std::nullopt;
    return CoilAddress{modbus->host, modbus->port, modbus->unit, modbus->number};
}

} // namespace quietpass
