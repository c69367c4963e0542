#include "daemon/hearing/separation.h"

#include <cstdio>
#include <optional>

namespace quietpass {

namespace {

std::optional<std::size_t> nearest_to_restraint(const StationSettings& settings) {
    std::optional<std::size_t> nearest;
    for (std::size_t i = 0; i < settings.microphones.size(); ++i) {
        const auto& up_m = settings.microphones[i].up_race_m;
        if (up_m && (!nearest || *up_m < *settings.microphones[*nearest].up_race_m)) nearest = i;
    }
    if (nearest && *settings.microphones[*nearest].up_race_m >= settings.restraint.entrance_m)
        return std::nullopt;
    return nearest;
}

} // namespace

std::vector<MicrophonePair> separating_pairs(const StationSettings& settings) {
    std::vector<MicrophonePair> pairs;
    const auto near = nearest_to_restraint(settings);
    if (!near) return pairs;
    const MicrophoneSettings& at_restraint = settings.microphones[*near];
    for (std::size_t i = 0; i < settings.microphones.size(); ++i) {
        const MicrophoneSettings& other = settings.microphones[i];
        if (!other.up_race_m ||
            *other.up_race_m < settings.restraint.entrance_m + settings.whose_call.beyond_entrance_m ||
            *other.up_race_m < *at_restraint.up_race_m + settings.whose_call.apart_m) {
            continue;
        }
        pairs.push_back({*near, i, *at_restraint.up_race_m, *other.up_race_m, settings.restraint.entrance_m,
                         at_restraint.clock == other.clock, settings.whose_call});
    }
    return pairs;
}

const char* name_of(SeparatedBy by) {
    switch (by) {
        case SeparatedBy::kNothing:
            return "nothing";
        case SeparatedBy::kLevel:
            return "level";
        case SeparatedBy::kLevelAndDelay:
            return "level_and_delay";
    }
    return "";
}

Separation separation_of(const StationSettings& settings) {
    const auto pairs = separating_pairs(settings);
    for (const MicrophonePair& pair : pairs) {
        if (!pair.one_clock) continue;
        return {SeparatedBy::kLevelAndDelay,
                "calls louder and earlier at " + settings.microphones[pair.far].name + " than at " +
                    settings.microphones[pair.near].name + " are waiting animals' and don't count"};
    }
    if (!pairs.empty()) {
        return {
            SeparatedBy::kLevel,
            "calls much louder at " + settings.microphones[pairs.front().far].name + " than at " +
                settings.microphones[pairs.front().near].name +
                " are waiting animals' and don't count; clocks of two devices tell no delay, two channels "
                "of one device would"};
    }
    const std::string and_may_count =
        "calls of waiting animals can't be told from the restrained animal's and may count: ";
    if (settings.microphones.size() <= 1) {
        return {SeparatedBy::kNothing,
                and_may_count + "there is one microphone, a second up the race would tell them"};
    }
    char beyond[32];
    std::snprintf(beyond, sizeof beyond, "%.3g",
                  settings.restraint.entrance_m + settings.whose_call.beyond_entrance_m);
    return {SeparatedBy::kNothing,
            and_may_count + "give each [[microphone]] its up_race_m, one at the restraint and one at " +
                beyond + " m or more up the race"};
}

} // namespace quietpass
