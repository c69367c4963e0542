// What every clip says of where it comes from. A FLAC file holds kMostChannels microphones: of more the first
// are kept.
#pragma once

#include <span>

#include "daemon/clips/clip_name.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

ClipOrigin clip_origin_of(const StationSettings& settings);

// The rates of the microphones that clips hold.
std::span<const double> clipped_rates(std::span<const double> rates_hz);

} // namespace quietpass
