// Text laid out for a terminal: columns counted in characters of UTF-8, not bytes. Pure; any thread.
#pragma once

#include <cstddef>
#include <cstdio>
#include <string>

namespace quietpass::tuning {

inline constexpr std::size_t kReportColumns = 80;

// As std::snprintf; a line of up to 399 bytes.
template <typename... Values>
std::string printed(const char* format, Values... values) {
    char line[400];
    std::snprintf(line, sizeof line, format, values...);
    return line;
}

// Code points of valid UTF-8; every character of the report is one column wide.
std::size_t columns_of(const std::string& text);

// Cut to `columns` with an ellipsis, or padded with spaces.
std::string in_columns(const std::string& text, std::size_t columns);

// Broken at spaces so that no line is wider than `columns`; lines after the first start with `indent` spaces.
// Ends in a newline.
std::string wrapped(const std::string& text, std::size_t indent, std::size_t columns = kReportColumns);

} // namespace quietpass::tuning
