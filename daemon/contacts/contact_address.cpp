#include "daemon/contacts/contact_address.h"

#include <charconv>

namespace quietpass {

namespace {

// Takes `word` off the front.
bool eat(std::string_view& text, std::string_view word) {
    if (!text.starts_with(word)) return false;
    text.remove_prefix(word.size());
    return true;
}

std::optional<int> eat_number(std::string_view& text, int highest) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || text.front() == '-' || value > highest) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return value;
}

std::optional<std::string> eat_host(std::string_view& text) {
    const bool bracketed = eat(text, "[");
    const std::size_t end = text.find_first_of(bracketed ? "]" : ":/");
    if (end == 0 || end == std::string_view::npos) return std::nullopt;
    const std::string host(text.substr(0, end));
    if (host.find_first_of(" \t@?#") != std::string::npos) return std::nullopt;
    text.remove_prefix(bracketed ? end + 1 : end);
    return host;
}

} // namespace

std::string ContactAddress::source() const {
    const bool bracketed = host.find(':') != std::string::npos;
    return "modbus://" + (bracketed ? "[" + host + "]" : host) + ":" + std::to_string(port) + "/unit/" +
           std::to_string(unit);
}

std::optional<ContactAddress> contact_address_from(std::string_view input) {
    ContactAddress address;
    if (!eat(input, "modbus://")) return std::nullopt;
    const auto host = eat_host(input);
    if (!host) return std::nullopt;
    address.host = *host;
    if (eat(input, ":")) {
        const auto port = eat_number(input, 65535);
        if (!port || *port == 0) return std::nullopt;
        address.port = *port;
    }
    if (!eat(input, "/unit/")) return std::nullopt;
    const auto unit = eat_number(input, 255);
    if (!unit || (*unit > 247 && *unit != 255)) return std::nullopt;
    address.unit = *unit;
    if (eat(input, "/coil/")) {
        address.table = ModbusTable::kCoil;
    } else if (!eat(input, "/discrete/")) {
        return std::nullopt;
    }
    const auto number = eat_number(input, 65535);
    if (!number || !input.empty()) return std::nullopt;
    address.number = *number;
    return address;
}

} // namespace quietpass
