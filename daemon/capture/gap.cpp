#include "daemon/capture/gap.h"

namespace quietpass {

std::string_view name_of(GapCause cause) {
    switch (cause) {
        case GapCause::kOverrun:
            return "overrun";
        case GapCause::kUnplugged:
            return "unplugged";
        case GapCause::kSilent:
            return "silent";
        case GapCause::kClipped:
            return "clipped";
        case GapCause::kCoveredUp:
            return "covered_up";
        case GapCause::kHum:
            return "hum";
        case GapCause::kWind:
            return "wind";
        case GapCause::kLevelFar:
            return "level_far";
        case GapCause::kContactsLost:
            return "contacts_lost";
        case GapCause::kNotWritten:
            return "not_written";
    }
    return "";
}

} // namespace quietpass
