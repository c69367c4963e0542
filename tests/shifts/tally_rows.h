// A station and rows of passages and calls, for tests of what a shift's tally makes of them. Tests only.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/shifts/tally.h"

namespace quietpass::test {

inline StationSettings station(Species species = Species::kCattle) {
    StationSettings settings;
    settings.name = "box-2";
    settings.species = species;
    settings.timezone = "America/Denver";
    settings.scoring = {5.0, "a guide, an edition"};
    return settings;
}

inline Passage passage(std::int64_t id, double entered_s = 0.0) {
    Passage out;
    out.id = id;
    out.entered_s = entered_s;
    out.end_s = entered_s + 20.0;
    return out;
}

inline Passage vocal_passage(std::int64_t id, int calls = 1) {
    Passage out = passage(id);
    out.vocal = true;
    out.calls = calls;
    return out;
}

inline Passage excluded_passage(std::int64_t id, const std::string& reason, bool covered = false) {
    Passage out = passage(id);
    out.excluded = reason;
    out.covered = covered;
    return out;
}

inline StationCall call(std::int64_t passage_id, Phase phase, bool counted = true) {
    StationCall out;
    out.passage_id = passage_id;
    out.phase = phase;
    out.counted = counted;
    return out;
}

} // namespace quietpass::test
