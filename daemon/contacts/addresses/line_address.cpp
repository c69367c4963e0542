#include "daemon/contacts/addresses/line_address.h"

#include <algorithm>

#include "daemon/contacts/addresses/address_reader.h"

namespace quietpass {

namespace {
constexpr std::string_view kInput = "/input/";
constexpr std::size_t kLongestName = 32;
} // namespace

std::string LineAddress::source() const {
    return serial ? "line:" + serial->text() : "line://" + host_and_port(host, port);
}

bool is_line_input_name(std::string_view name) {
    return !name.empty() && name.size() <= kLongestName &&
           std::all_of(name.begin(), name.end(), [](char letter) {
               return (letter >= 'a' && letter <= 'z') || (letter >= 'A' && letter <= 'Z') ||
                      (letter >= '0' && letter <= '9') || letter == '-' || letter == '_' || letter == '.';
           });
}

std::optional<LineAddress> line_address_from(std::string_view text) {
    LineAddress address;
    AddressReader input(text);
    if (input.eat("line://")) {
        const auto host = input.eat_host();
        if (!host) return std::nullopt;
        const auto port = input.eat_port(0);
        if (!port || *port == 0) return std::nullopt;
        address.host = *host;
        address.port = *port;
    } else {
        if (!input.eat("line:")) return std::nullopt;
        const std::size_t end = input.rest().rfind(kInput);
        if (end == std::string_view::npos) return std::nullopt;
        address.serial = serial_line_from(input.rest().substr(0, end), SerialLine{"", 115200, 8, 'N', 1});
        if (!address.serial) return std::nullopt;
        input = AddressReader(input.rest().substr(end));
    }
    if (!input.eat(kInput) || !is_line_input_name(input.rest())) return std::nullopt;
    address.input = input.rest();
    return address;
}

} // namespace quietpass
