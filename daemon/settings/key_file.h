// Where the station's key is: the station file's [records] key_file, else OUT/key/station.key.
#pragma once

#include <filesystem>

#include "daemon/settings/station_settings.h"

namespace quietpass {

inline std::filesystem::path key_file_of(const StationSettings& settings, const std::filesystem::path& out) {
    return settings.key_file.empty() ? out / "key" / "station.key" : std::filesystem::path(settings.key_file);
}

} // namespace quietpass
