#include "daemon/passages/passage.h"

namespace quietpass {

std::string_view name_of(Phase phase) {
    switch (phase) {
        case Phase::kEntry:
            return "entry";
        case Phase::kBodyHeld:
            return "body_held";
        case Phase::kHeld:
            return "held";
        case Phase::kAtStun:
            return "at_stun";
        case Phase::kAfterStun:
            return "after_stun";
    }
    return "";
}

} // namespace quietpass
