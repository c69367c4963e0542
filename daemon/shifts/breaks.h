// The breaks of the station's plan as stretches of time. Times are UTC nanoseconds since 1970.
//
// Errors: as Schedule's.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "daemon/settings/station_settings.h"

namespace quietpass {

// [start, end) of each break that touches [from, to), cut to it, in order of time.
std::vector<std::pair<std::int64_t, std::int64_t>> breaks_between(const StationSettings& settings,
                                                                  std::int64_t from_utc_ns,
                                                                  std::int64_t to_utc_ns);

} // namespace quietpass
