#include "daemon/profile_file.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "classifiers/profile_text.h"
#include "daemon/build_facts.h"
#include "daemon/failure.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

std::string bytes_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file || std::filesystem::is_directory(path)) {
        throw Failure(
            kExitUsage,
            "profile " + path + ": can't be read; name a profile file, or leave it out for the shipped one");
    }
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

} // namespace

std::string shipped_profiles_folder() {
    if (const char* wished = std::getenv("QUIETPASS_PROFILES")) return wished;
    if (std::filesystem::is_directory(kInstalledProfiles)) return kInstalledProfiles;
    return kSourceProfiles;
}

std::optional<ProfileFile> read_profile(Species species, const std::string& wished) {
    if (species == Species::kSheep) return std::nullopt;
    ProfileFile file;
    file.path = wished;
    if (wished.empty()) {
        file.path = shipped_profiles_folder() + "/" + std::string(name_of(species)) + ".toml";
        if (!std::filesystem::exists(file.path)) {
            throw Failure(kExitUsage, "no profile for " + std::string(name_of(species)) + ": " + file.path +
                                          " isn't there; train one with `quietpass tune`");
        }
    }
    const std::string bytes = bytes_of(file.path);
    file.sha256 = sha256_hex(bytes);
    try {
        file.profile = profile_from_toml(bytes);
    } catch (const ProfileError& error) {
        throw Failure(kExitUsage, file.path + ":" + std::to_string(error.line) + ": " +
                                      (error.key.empty() ? "" : error.key + ": ") + error.expected);
    }
    if (file.profile.species != species) {
        throw Failure(kExitUsage, file.path + ": is a profile for " +
                                      std::string(name_of(file.profile.species)) +
                                      ", the station's species is " + std::string(name_of(species)) +
                                      "; name a profile of that species");
    }
    return file;
}

} // namespace quietpass
