#include "daemon/contacts/addresses/gpio_address.h"

#include "daemon/contacts/addresses/address_reader.h"

namespace quietpass {

std::optional<GpioAddress> gpio_address_from(std::string_view text) {
    GpioAddress address;
    AddressReader input(text);
    if (!input.eat("gpio:")) return std::nullopt;
    const std::string_view chip = input.rest().substr(0, input.rest().find('/'));
    if (!is_plain_word(chip) || !input.eat(chip) || !input.eat("/")) return std::nullopt;
    address.chip = chip;
    const auto line = input.eat_number(65535);
    if (!line) return std::nullopt;
    address.line = *line;
    if (input.eat("/pull-up")) {
        address.bias = GpioBias::kPullUp;
    } else if (input.eat("/pull-down")) {
        address.bias = GpioBias::kPullDown;
    } else if (input.eat("/no-bias")) {
        address.bias = GpioBias::kNone;
    }
    if (!input.at_end()) return std::nullopt;
    return address;
}

} // namespace quietpass
