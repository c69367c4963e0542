// Words of any origin as one line that a terminal only shows. Any thread.
#pragma once

#include <cstdio>
#include <string>
#include <string_view>

namespace quietpass {

// UTF-8 in, UTF-8 out: control characters (U+0000 to U+001F, U+007F to U+009F) and the line and paragraph
// separators U+2028 and U+2029 as \n, \r, \t or \u001B; everything else as it stands, backslashes too, so
// that a line made once stays as it is.
inline std::string in_one_line(std::string_view words) {
    std::string line;
    line.reserve(words.size());
    const auto add = [&line](unsigned code) {
        char escape[8];
        std::snprintf(escape, sizeof escape, "\\u%04X", code);
        line += escape;
    };
    for (std::size_t at = 0; at < words.size(); ++at) {
        const auto byte = static_cast<unsigned char>(words[at]);
        const std::string_view rest = words.substr(at);
        const auto next = static_cast<unsigned char>(rest.size() > 1 ? rest[1] : '\0');
        if (byte == '\n') {
            line += "\\n";
        } else if (byte == '\r') {
            line += "\\r";
        } else if (byte == '\t') {
            line += "\\t";
        } else if (byte < 0x20 || byte == 0x7F) {
            add(byte);
        } else if (byte == 0xC2 && next >= 0x80 && next < 0xA0) {
            add(next);
            at += 1;
        } else if (rest.starts_with("\xE2\x80\xA8") || rest.starts_with("\xE2\x80\xA9")) {
            add(rest[2] == '\xA8' ? 0x2028 : 0x2029);
            at += 2;
        } else {
            line += words[at];
        }
    }
    return line;
}

} // namespace quietpass
