// A moment as text: UTC nanoseconds since 1970 → "2026-03-08T05:00:00.123Z", milliseconds rounded down.
// Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace quietpass {

std::string utc_text(std::int64_t utc_ns);

// "2026-03-02T13:00:00Z", with or without decimals of the second; nothing for any other text.
std::optional<std::int64_t> utc_from_text(const std::string& text);

} // namespace quietpass
