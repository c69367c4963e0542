#include "daemon/contacts/contact_address.h"

namespace quietpass {

std::optional<ContactAddress> contact_address_from(std::string_view input) {
    if (auto modbus = modbus_address_from(input)) return std::move(*modbus);
    if (auto gpio = gpio_address_from(input)) return std::move(*gpio);
    if (auto mqtt = mqtt_address_from(input)) return std::move(*mqtt);
    if (auto line = line_address_from(input)) return std::move(*line);
    return std::nullopt;
}

std::string source_of(const ContactAddress& address) {
    return std::visit([](const auto& kind) { return kind.source(); }, address);
}

bool same_input(const ContactAddress& a, const ContactAddress& b) {
    const auto place = [](const auto& kind) { return std::string(kind.place()); };
    return source_of(a) == source_of(b) && std::visit(place, a) == std::visit(place, b);
}

std::string contact_address_form(std::string_view input) {
    if (input.starts_with("modbus+rtu:")) return std::string(kModbusRtuForm);
    if (input.starts_with("modbus:")) return std::string(kModbusForm);
    if (input.starts_with("gpio:")) return std::string(kGpioForm);
    if (input.starts_with("mqtt:") || input.starts_with("mqtts:")) return std::string(kMqttForm);
    if (input.starts_with("line:")) return std::string(kLineForm);
    return std::string(kAnyContactForm) + " (see deploy/station.md)";
}

} // namespace quietpass
