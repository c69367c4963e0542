// What people of the trade look at first when animals cry out in a phase. Common practice, no source; where
// to look, not what the cause is. Pure; any thread.
#pragma once

#include <string_view>

#include "daemon/passages/passage.h"

namespace quietpass {

inline constexpr std::string_view kCommonPractice = "common practice";

constexpr std::string_view trade_looks_at(Phase phase) {
    switch (phase) {
        case Phase::kEntry:
            return "footing, light, people seen ahead, the prod";
        case Phase::kBodyHeld:
            return "pressure, sharp edges, sides too wide or too tight, a feeling of toppling";
        case Phase::kHeld:
            return "held too long before the stun";
        case Phase::kAtStun:
            return "stun position, stunning equipment";
        case Phase::kAfterStun:
            return "a trained person checks the animal at once";
    }
    return "";
}

} // namespace quietpass
