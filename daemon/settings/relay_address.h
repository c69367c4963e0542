// Where a lamp's output is wired: modbus://host:port/unit/U/coil/N (TCP; port 502 when left out, U: 0 … 247
// or 255, N: the address on the wire, 0 … 65535) or gpio:CHIP/LINE (a chip's name, a line from 0). Pure.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

namespace quietpass {

struct CoilAddress {
    std::string host;
    int port = 502; // the registered port of Modbus TCP
    int unit = 1;
    int number = 0;
};

struct GpioLineAddress {
    std::string chip; // "gpiochip0"
    int line = 0;
};

using RelayAddress = std::variant<CoilAddress, GpioLineAddress>;

inline constexpr std::string_view kRelayAddressForm = "modbus://host:port/unit/U/coil/N or gpio:CHIP/LINE";

// Nothing for anything that isn't of one of the forms.
std::optional<RelayAddress> relay_address_from(const std::string& text);

} // namespace quietpass
