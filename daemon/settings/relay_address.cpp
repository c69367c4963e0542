#include "daemon/settings/relay_address.h"

#include <charconv>

#include "daemon/settings/web_address.h"

namespace quietpass {

namespace {

// A whole number up to `highest` at the front of the text, which then begins behind it.
std::optional<int> eat_number(std::string_view& text, int highest) {
    int number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc() || number < 0 || number > highest) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return number;
}

bool eat(std::string_view& text, std::string_view word) {
    if (!text.starts_with(word)) return false;
    text.remove_prefix(word.size());
    return true;
}

std::optional<RelayAddress> coil_from(const std::string& text) {
    const auto url = web_address_from(text);
    if (!url || url->scheme != "modbus" || url->has_user) return std::nullopt;
    CoilAddress coil;
    coil.host = url->host;
    if (coil.host.starts_with('[')) coil.host = coil.host.substr(1, coil.host.size() - 2);
    if (url->port > 0) coil.port = url->port;
    std::string_view path = url->path;
    if (!eat(path, "/unit/")) return std::nullopt;
    const auto unit = eat_number(path, 255);
    if (!unit || (*unit > 247 && *unit != 255) || !eat(path, "/coil/")) return std::nullopt;
    const auto number = eat_number(path, 65535);
    if (!number || !path.empty()) return std::nullopt;
    coil.unit = *unit;
    coil.number = *number;
    return coil;
}

std::optional<RelayAddress> line_from(std::string_view text) {
    if (!eat(text, "gpio:")) return std::nullopt;
    const std::size_t slash = text.find('/');
    if (slash == 0 || slash == std::string_view::npos) return std::nullopt;
    GpioLineAddress address;
    address.chip = text.substr(0, slash);
    text.remove_prefix(slash + 1);
    const auto line = eat_number(text, 65535);
    if (!line || !text.empty()) return std::nullopt;
    address.line = *line;
    return address;
}

} // namespace

std::optional<RelayAddress> relay_address_from(const std::string& text) {
    return text.starts_with("gpio:") ? line_from(text) : coil_from(text);
}

} // namespace quietpass
