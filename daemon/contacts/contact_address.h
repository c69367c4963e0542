// Where a contact's input is wired: the `input` of a [[contact]] in the station file. Its first word says
// what kind of device it is; the forms stand with each kind in addresses/.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "daemon/contacts/addresses/gpio_address.h"
#include "daemon/contacts/addresses/line_address.h"
#include "daemon/contacts/addresses/modbus_address.h"
#include "daemon/contacts/addresses/mqtt_address.h"

namespace quietpass {

using ContactAddress = std::variant<ModbusAddress, GpioAddress, MqttAddress, LineAddress>;

// Nothing for anything that isn't of one of the forms.
std::optional<ContactAddress> contact_address_from(std::string_view input);

// What is read or watched in one go, and lost in one go.
std::string source_of(const ContactAddress& address);

// Whether both are the same input, however they are spelled.
bool same_input(const ContactAddress& a, const ContactAddress& b);

// What every input must look like.
inline constexpr std::string_view kAnyContactForm =
    "an address that begins with modbus://, modbus+rtu:, gpio:, mqtt://, mqtts:// or line:";

// What an input must look like, for error messages: the form of the kind that it begins as, else of all.
std::string contact_address_form(std::string_view input);

} // namespace quietpass
