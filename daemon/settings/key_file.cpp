#include "daemon/settings/key_file.h"

#include "classifiers/toml_text.h"

namespace quietpass {

std::filesystem::path key_file_of(const StationSettings& settings, const std::filesystem::path& out) {
    return settings.key_file.empty() ? out / "key" / "station.key" : std::filesystem::path(settings.key_file);
}

std::string key_file_in(const std::string& station_file_text) {
    try {
        return toml_from(station_file_text)["records"]["key_file"].value_or(std::string());
    } catch (const toml::parse_error&) {
        return {};
    }
}

} // namespace quietpass
