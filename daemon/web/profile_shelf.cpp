#include "daemon/web/profile_shelf.h"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "classifiers/profile_text.h"
#include "daemon/failure.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

constexpr std::uintmax_t kMostBytes = 1'000'000;

ShelvedProfile shelved(const std::filesystem::path& file) {
    ShelvedProfile profile;
    profile.file = file.string();
    profile.text = file_text(file);
    profile.sha256 = sha256_hex(profile.text);
    try {
        const Profile read = profile_from_toml(profile.text);
        profile.name = read.name;
        profile.version = read.version;
        profile.about = read.about;
        profile.species = name_of(read.species);
    } catch (const ProfileError& error) {
        profile.wrong = "line " + std::to_string(error.line) + ": " +
                        (error.key.empty() ? "" : error.key + ": ") + error.expected;
    }
    return profile;
}

void add_folder(std::vector<ShelvedProfile>& shelf, const std::filesystem::path& folder, bool shipped) {
    std::error_code error;
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder, error)) {
        std::error_code unknown;
        if (entry.path().extension() == ".toml" && entry.is_regular_file(unknown) &&
            entry.file_size(unknown) <= kMostBytes)
            files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    for (const auto& file : files) {
        ShelvedProfile profile = shelved(file);
        profile.shipped = shipped;
        const auto same = [&](const ShelvedProfile& one) { return one.sha256 == profile.sha256; };
        const auto there = std::find_if(shelf.begin(), shelf.end(), same);
        if (there == shelf.end())
            shelf.push_back(std::move(profile));
        else
            there->shipped = there->shipped || shipped;
    }
}

} // namespace

std::string file_text(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

std::optional<ShelvedProfile> profile_in_use(const StationSettings& settings) {
    try {
        const auto file = read_profile(settings.species, settings.profile);
        if (!file) return std::nullopt;
        ShelvedProfile profile = shelved(file->path);
        profile.in_use = true;
        return profile;
    } catch (const Failure&) {
        return std::nullopt;
    }
}

std::vector<ShelvedProfile> shelved_profiles(const StationSettings& settings,
                                             const std::optional<ShelvedProfile>& in_use,
                                             const std::filesystem::path& out) {
    std::vector<ShelvedProfile> shelf;
    if (in_use) shelf.push_back(*in_use);
    add_folder(shelf, shipped_profiles_folder(), true);
    const auto shipped = static_cast<std::ptrdiff_t>(shelf.size());
    if (!settings.profile.empty())
        add_folder(shelf, std::filesystem::path(settings.profile).parent_path(), false);
    add_folder(shelf, out / "profiles", false);
    // Other TOML files may lie there: the station file for one.
    shelf.erase(std::remove_if(shelf.begin() + shipped, shelf.end(),
                               [](const ShelvedProfile& one) { return !one.wrong.empty(); }),
                shelf.end());
    return shelf;
}

} // namespace quietpass
