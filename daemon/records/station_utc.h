// Station seconds to UTC, as one straight line: the running fit of the sample clock at the moment a row is
// written. Plain value.
#pragma once

#include <cmath>
#include <cstdint>
#include <optional>

namespace quietpass {

struct StationUtc {
    std::int64_t utc_ns_at_zero = 0; // UTC nanoseconds of station second 0
    double ns_per_s = 1e9;           // UTC nanoseconds a station second

    // Nothing for a time that was never seen (NaN).
    std::optional<std::int64_t> at(double station_s) const {
        if (!std::isfinite(station_s)) return std::nullopt;
        return utc_ns_at_zero + static_cast<std::int64_t>(std::llround(station_s * ns_per_s));
    }
};

} // namespace quietpass
