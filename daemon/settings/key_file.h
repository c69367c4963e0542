// Where the station's key is: the station file's [records] key_file, else OUT/key/station.key.
#pragma once

#include <filesystem>
#include <string>

#include "daemon/settings/station_settings.h"

namespace quietpass {

std::filesystem::path key_file_of(const StationSettings& settings, const std::filesystem::path& out);

// What the text of a station file has as [records] key_file, as it stands there; empty when it has none, or
// can't be read (it may be of another program's time).
std::string key_file_in(const std::string& station_file_text);

} // namespace quietpass
