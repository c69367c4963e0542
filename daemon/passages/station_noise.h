// A bang or a hiss in its place: which passage, which phase, and whether the equipment made it. Times are
// station seconds.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "classifiers/heard_noise.h"
#include "daemon/passages/passage.h"

namespace quietpass {

struct StationNoise {
    std::string microphone; // where it was loudest
    HeardNoise heard;
    std::optional<std::int64_t> passage_id;
    std::optional<double> passage_entered_s;
    std::optional<Phase> phase;
    // It came with a change of a contact of the cycle: a gate, a holder, a stun, and no animal's doing.
    bool by_equipment = false;
};

} // namespace quietpass
