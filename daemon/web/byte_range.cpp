#include "daemon/web/byte_range.h"

#include <algorithm>
#include <charconv>
#include <string_view>

namespace quietpass {

namespace {

std::optional<std::uint64_t> number(std::string_view text) {
    std::uint64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

} // namespace

ByteRange byte_range(const std::string& header, std::uint64_t size) {
    constexpr std::string_view kUnit = "bytes=";
    const ByteRange whole{ByteRange::Kind::kWhole, 0, size};
    constexpr ByteRange kRefused{ByteRange::Kind::kCantBe, 0, 0};
    if (header.find('=') == std::string::npos || !header.starts_with(kUnit)) return whole;
    const std::string_view range = std::string_view(header).substr(kUnit.size());
    const std::size_t dash = range.find('-');
    if (dash == std::string_view::npos) return kRefused;
    const std::string_view from = range.substr(0, dash);
    const std::string_view to = range.substr(dash + 1);
    if (from.empty()) { // the last so many
        const auto last = number(to);
        if (!last || *last == 0 || size == 0) return kRefused;
        const std::uint64_t bytes = std::min(*last, size);
        return {ByteRange::Kind::kPart, size - bytes, bytes};
    }
    const auto first = number(from);
    if (!first || *first >= size) return kRefused;
    if (to.empty()) return {ByteRange::Kind::kPart, *first, size - *first};
    const auto last = number(to);
    if (!last || *last < *first) return kRefused;
    return {ByteRange::Kind::kPart, *first, std::min(*last, size - 1) - *first + 1};
}

} // namespace quietpass
