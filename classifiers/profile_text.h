// Profiles as TOML text that a person reads in five minutes, and back.
//
// Format:
//   species = "cattle"   name = "cattle"   version = "1"   about = "…"
//   [segments]           every field of SegmentSettings by its name; those left out keep their default
//   [[card]]             in order of judging
//   kind = "moo"   base = -1.2   cut = 0.5
//   gates = [ { measure = "duration_s", min = 0.2, max = 8.0 }, … ]         min or max or both
//   kinds = [ { kind = "bellow", when = ["voice_f0_p90_hz <= 115"] }, … ]         first that fits
//   steps = [ { measure = "voice_s", at = [0.2, 0.8], points = [0, 0.4, 1.1] }, … ]   up to 0.2: 0; over
//   0.8: 1.1 terms = [ { when = ["voice_s > 0.4", "voice_rough_db <= 3"], points = 1.2 }, … ]  1 … 3
//   conditions
// Unknown keys, unknown measures, wrong types and impossible values throw ProfileError. Pure: no files here.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include "classifiers/profile.h"

namespace quietpass {

struct ProfileError : std::runtime_error {
    ProfileError(int line, const std::string& key, const std::string& expected);
    int line;             // 1-based
    std::string key;      // "card.terms[3].when", as far as known
    std::string expected; // what should stand there, and what does; one line, as what() and the key are
};

// Throws ProfileError.
Profile profile_from_toml(std::string_view text);

// Reading it back gives a Profile with the same scores, except that points and thresholds are rounded to 6
// significant digits; terms of one condition come back first, by measure.
std::string profile_to_toml(const Profile& profile);

// "voice_s>0.4": one condition as it stands in reasons.
std::string words_of(const Condition& condition);

} // namespace quietpass
