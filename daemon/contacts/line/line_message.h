// One line of the line protocol (deploy/line_protocol.md), read and checked.
//
//   in NAME STATE [MS] [*HH]     an input: 1 closed, 0 open, ? not known
//   alive [MS] [*HH]             nothing changed
//
// MS: the controller's own milliseconds, 0 … 4294967295. *HH: the XOR of all bytes before the space in front
// of it, two hexadecimal digits. Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

inline constexpr std::size_t kLongestLine = 120; // bytes, without its end

struct LineMessage {
    std::string input;          // empty: `alive`
    std::optional<bool> closed; // of an input; none: not known
    std::optional<std::uint32_t> stamp_ms;
};

// line: without its end. Nothing for a line that is damaged or of another protocol.
std::optional<LineMessage> line_message_from(std::string_view line);

// The two digits of a line's checksum, for those who write lines.
std::string line_checksum(std::string_view line);

} // namespace quietpass
