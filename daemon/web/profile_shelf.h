// The profiles that a station may use: the one in use, the shipped ones, those in the folder of the
// station file's `profile`, and those that were chosen here before (OUT/profiles). Read from the disk at each
// question. Any thread. Throws nothing of its own: a file that is no profile says so in `wrong`.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "daemon/profile_file.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct ShelvedProfile {
    std::string sha256; // of the file's bytes, lower-case hex
    std::string file;   // its path
    std::string text;
    std::string name;
    std::string version;
    std::string about;
    std::string species;
    bool in_use = false; // since the daemon's start; also where its file was altered or is gone
    bool shipped = false;
    std::string wrong; // one line; empty: it can be used
};

// in_use: as it was read at the start; none for a species that isn't scored. One entry for files alike.
std::vector<ShelvedProfile> shelved_profiles(const StationSettings& settings,
                                             const std::optional<ShelvedProfile>& in_use,
                                             const std::filesystem::path& out);

// The one in use, read now; nothing where there is none or it can't be read.
std::optional<ShelvedProfile> profile_in_use(const StationSettings& settings);

std::string file_text(const std::filesystem::path& file); // empty for one that can't be read

} // namespace quietpass
