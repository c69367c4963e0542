// A serial port and how it is set, as it stands in an address: DEVICE[:BAUD[:FRAME]].
//
// DEVICE: an absolute path, best one of /dev/serial/by-id/, which stays the same when ports are numbered
// anew. BAUD: bits a second, one of kBauds. FRAME: data bits (7 or 8), parity (N, E or O), stop bits (1 or
// 2), like 8E1. Pure.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

inline constexpr std::array kBauds = {1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400};

struct SerialLine {
    std::string device;
    int baud = 19200;
    int data_bits = 8;
    char parity = 'E'; // N, E or O
    int stop_bits = 1;

    // "DEVICE:BAUD:FRAME", whatever was left out.
    std::string text() const;
    // How long one letter takes with start, parity and stop bits, seconds.
    double letter_s() const;
};

// What is left out is as in `otherwise`; nothing for anything that isn't of that form.
std::optional<SerialLine> serial_line_from(std::string_view text, SerialLine otherwise);

} // namespace quietpass
