// What the daemon goes by from its start or a reload on: the station file, and the profile that it names,
// that a person chose on the page, or that is shipped, in this order.
//
// Throws Failure: as read_station_file() and read_profile(); exit 2 where the chosen profile's copy is gone
// or altered, for no other may take its place unseen.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "daemon/profile_file.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct SettingsInForce {
    StationSettings settings; // with `profile` as it was found
    std::optional<ProfileFile> profile;
};

SettingsInForce settings_in_force(const std::string& station_file, const std::filesystem::path& out);

} // namespace quietpass
