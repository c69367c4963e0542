#include "classifiers/toml_text.h"

#include <algorithm>
#include <optional>
#include <string>

#include "classifiers/one_line.h"

namespace quietpass {

namespace {

constexpr std::size_t kBytes = 3; // of each such character in UTF-8: EF AB 89 to EF BB BE
constexpr std::string_view kHarmless = "\xEE\x80\x80"; // U+E000, for private use, of the same length

bool stands_at(std::string_view text, std::size_t at) {
    const std::string_view bytes = text.substr(at, kBytes);
    return bytes >= "\xEF\xAB\x89" && bytes <= "\xEF\xBB\xBE" && bytes.size() == kBytes;
}

// The text with the harmless character in place of each of them; nothing where there is none.
std::optional<std::string> without(std::string_view text) {
    std::optional<std::string> harmless;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (!stands_at(text, at)) continue;
        if (!harmless) harmless = std::string(text);
        harmless->replace(at, kBytes, kHarmless);
        at += kBytes - 1;
    }
    return harmless;
}

toml::table parsed(std::string_view text, std::string_view name) {
    try {
        return toml::parse(text, name);
    } catch (const toml::parse_error& error) {
        // The library quotes what it saw as it stands, a line's end too.
        throw toml::parse_error(in_one_line(error.description()).c_str(), error.source());
    }
}

} // namespace

toml::table toml_from(std::string_view text, std::string_view name) {
    if (const auto harmless = without(text)) {
        // Outside comments and text the one is as wrong as the other, so that this throws.
        try {
            static_cast<void>(parsed(*harmless, name));
        } catch (const toml::parse_error& error) {
            if (error.description().find(kHarmless) == std::string_view::npos) throw;
            throw toml::parse_error("a character from U+FAC9 to U+FEFE stands outside text and comments",
                                    error.source());
        }
        // In text over several lines the library skips white space after a line's last backslash.
        const auto many = std::min(text.find("\"\"\""), text.find("'''"));
        if (many != std::string_view::npos) {
            toml::source_region where;
            where.begin.line = where.end.line = static_cast<toml::source_index>(
                1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(many), '\n'));
            where.begin.column = where.end.column = 1;
            throw toml::parse_error(
                "text over several lines can't be read in a file that has characters "
                "from U+FAC9 to U+FEFE; write it in one line",
                std::move(where));
        }
    }
    return parsed(text, name);
}

} // namespace quietpass
