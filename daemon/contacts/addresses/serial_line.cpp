#include "daemon/contacts/addresses/serial_line.h"

#include <algorithm>

#include "daemon/contacts/addresses/address_reader.h"

namespace quietpass {

namespace {

// Names of this folder tell the way to the plug and hold colons; no others do.
constexpr std::string_view kByPath = "/dev/serial/by-path/";

std::string_view last_part(std::string_view text) {
    const std::size_t colon = text.rfind(':');
    return colon == std::string_view::npos ? std::string_view() : text.substr(colon + 1);
}

bool take_frame(std::string_view part, SerialLine& line) {
    constexpr std::string_view kBits = "78";
    constexpr std::string_view kParities = "NEO";
    constexpr std::string_view kStops = "12";
    if (part.size() != 3 || kBits.find(part[0]) == kBits.npos || kParities.find(part[1]) == kParities.npos ||
        kStops.find(part[2]) == kStops.npos) {
        return false;
    }
    line.data_bits = part[0] - '0';
    line.parity = part[1];
    line.stop_bits = part[2] - '0';
    return true;
}

} // namespace

std::string SerialLine::text() const {
    return device + ":" + std::to_string(baud) + ":" + std::to_string(data_bits) + parity +
           std::to_string(stop_bits);
}

double SerialLine::letter_s() const {
    return (1.0 + data_bits + (parity == 'N' ? 0 : 1) + stop_bits) / baud;
}

std::optional<SerialLine> serial_line_from(std::string_view text, SerialLine otherwise) {
    SerialLine line = std::move(otherwise);
    const bool framed = take_frame(last_part(text), line);
    if (framed) text.remove_suffix(4);
    AddressReader number(last_part(text));
    if (const auto baud = number.eat_number(1'000'000); baud && number.at_end()) {
        if (std::find(kBauds.begin(), kBauds.end(), *baud) == kBauds.end()) return std::nullopt;
        text.remove_suffix(last_part(text).size() + 1);
        line.baud = *baud;
    } else if (framed) {
        return std::nullopt;
    }
    if (text.size() < 2 || text.front() != '/' || text.back() == '/' || !is_plain_word(text)) {
        return std::nullopt;
    }
    if (text.find(':') != std::string_view::npos && !text.starts_with(kByPath)) return std::nullopt;
    line.device = text;
    return line;
}

} // namespace quietpass
