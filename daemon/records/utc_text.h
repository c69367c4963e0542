// A moment as text: UTC nanoseconds since 1970 → "2026-03-08T05:00:00.123Z", milliseconds rounded down.
// Pure.
#pragma once

#include <cstdint>
#include <string>

namespace quietpass {

std::string utc_text(std::int64_t utc_ns);

} // namespace quietpass
