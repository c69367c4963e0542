#include "daemon/commands/settings_in_force.h"

#include <SQLiteCpp/Exception.h>

#include "daemon/failure.h"
#include "daemon/records/profile_choice.h"
#include "daemon/settings/station_file.h"

namespace quietpass {

namespace {

std::optional<ProfileChoice> choice_in(const std::filesystem::path& out) {
    try {
        return chosen_profile(out);
    } catch (const SQLite::Exception& error) {
        throw Failure(kExitFailure, (out / "records.db").string() + ": " + error.what() +
                                        "; look whether the disk and the file are whole");
    }
}

} // namespace

SettingsInForce settings_in_force(const std::string& station_file, const std::filesystem::path& out) {
    SettingsInForce in_force;
    StationSettings& settings = in_force.settings;
    settings = read_station_file(station_file);
    if (!settings.profile.empty()) {
        in_force.profile = read_profile(settings.species, settings.profile);
        return in_force;
    }
    const auto choice = choice_in(out);
    if (choice) settings.profile = kept_profile(out, choice->sha256).string();
    in_force.profile = read_profile(settings.species, settings.profile);
    if (choice && in_force.profile && in_force.profile->sha256 != choice->sha256) {
        throw Failure(kExitUsage, settings.profile + ": is not the profile that " + choice->who +
                                      " chose on the page; put that file back, or name one in " +
                                      station_file + ": [station] profile");
    }
    return in_force;
}

} // namespace quietpass
