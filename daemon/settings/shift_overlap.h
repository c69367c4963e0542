// Whether two shifts of a station's week claim the same minute.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "daemon/settings/station_settings.h"

namespace quietpass {

// The indices of the first two shifts that overlap, in the local time of the week (Saturday night runs into
// Sunday).
std::optional<std::pair<std::size_t, std::size_t>> overlapping_shifts(
    const std::vector<ShiftSettings>& shifts);

} // namespace quietpass
