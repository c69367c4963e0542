// Whether a station can tell the restrained animal's calls from those of the animals that wait up the race,
// and by which of its microphones: it needs one at the restraint and one well beyond the entrance.
//
// Pure. Distances are metres up the race from the head of the held animal, as the station file gives them.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/settings/station_settings.h"

namespace quietpass {

// A microphone at the restraint and one up the race.
struct MicrophonePair {
    std::size_t near = 0;
    std::size_t far = 0;
    double near_m = 0.0;
    double far_m = 0.0;
    double entrance_m = 0.0; // an animal beyond this waits
    bool one_clock = false;  // two channels of one device: delays are exact
    WhoseCallSettings limits{};
};

// The pairs that can separate, in the station file's order of the far one; empty: none can.
std::vector<MicrophonePair> separating_pairs(const StationSettings& settings);

enum class SeparatedBy { kNothing, kLevel, kLevelAndDelay };
const char* name_of(SeparatedBy by); // "nothing", "level", "level_and_delay"

struct Separation {
    SeparatedBy by = SeparatedBy::kNothing;
    std::string note; // one line for the log and the shift record: what can't be told and why, or what can
};

Separation separation_of(const StationSettings& settings);

} // namespace quietpass
