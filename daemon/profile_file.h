// Finds and reads the profile of a species: the station file's own, or the shipped one.
//
// Throws Failure: exit 2 for a profile that isn't there or doesn't parse (with file, line, key and what was
// expected).
#pragma once

#include <optional>
#include <string>

#include "classifiers/profile.h"
#include "classifiers/species.h"

namespace quietpass {

struct ProfileFile {
    Profile profile;
    std::string path;
    std::string sha256; // of the file's bytes, lower-case hex
};

// wished: a path, or empty for the shipped profile. Nothing for a species that is never scored (sheep).
std::optional<ProfileFile> read_profile(Species species, const std::string& wished);

// The folder with the shipped profiles: $QUIETPASS_PROFILES, the installed place, or the source tree's.
std::string shipped_profiles_folder();

} // namespace quietpass
