// A contact of a small controller that speaks the line protocol (deploy/line_protocol.md):
// line://host:port/input/NAME (TCP) or line:DEVICE[:BAUD[:FRAME]]/input/NAME (a serial port, see
// serial_line.h).
//
// NAME: the controller's name for the input, 1 to 32 letters, digits, `-`, `_` or `.`. BAUD and FRAME: 115200
// and 8N1 when left out (common practice).
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "daemon/contacts/addresses/serial_line.h"

namespace quietpass {

struct LineAddress {
    std::string host;
    int port = 0;
    std::optional<SerialLine> serial = {}; // in place of host and port
    std::string input;

    // The controller: "line://host:port" or "line:DEVICE:BAUD:FRAME".
    std::string source() const;
    const std::string& place() const { return input; }
};

inline constexpr std::string_view kLineForm =
    "line://host:port/input/NAME (or line:/dev/ttyUSB0:115200:8N1/input/NAME)";

// Nothing for anything that isn't of one of the forms.
std::optional<LineAddress> line_address_from(std::string_view input);

// Whether a controller may call an input so.
bool is_line_input_name(std::string_view name);

} // namespace quietpass
