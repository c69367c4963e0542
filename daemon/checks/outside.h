// What the station reaches, and who reaches it: the receivers of alarms, the page and its certificate.
// Nothing is sent to a receiver but what opens a connection; `quietpass alarms test` sends a message. None of
// these throws. Any thread; a receiver that doesn't answer is waited for.
#pragma once

#include <cstdint>
#include <filesystem>

#include "daemon/checks/check_line.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// All at the same time, each waited for at most this long.
CheckLines check_deliveries(const StationSettings& settings, double within_s = 5.0);
// The page's own certificate or the one given: that it is there, fits its key and goes on for a while.
CheckLines check_certificate(const StationSettings& settings, const std::filesystem::path& out,
                             std::int64_t utc_ns);
// Whether a running daemon's page answers.
CheckLines check_page(const StationSettings& settings, double within_s = 5.0);

} // namespace quietpass
