// A stretch of time in which something was not heard or not known, with its cause. Gaps make passages
// uncovered. Times are station seconds (see daemon/station.h).
#pragma once

#include <string>
#include <string_view>

namespace quietpass {

enum class GapCause {
    kOverrun,      // samples were lost between the device and us
    kUnplugged,    // the device went away or its callbacks stopped
    kSilent,       // a dead microphone: digital silence or below the floor of any room
    kClipped,      // samples at full scale for a large part of the time
    kCoveredUp,    // high end lost
    kContactsLost, // a contact source did not answer
};

struct Gap {
    std::string source; // the microphone's name, or the contact source's
    double start_s = 0.0;
    double end_s = 0.0;
    GapCause cause = GapCause::kOverrun;
};

std::string_view name_of(
    GapCause cause); // "overrun", "unplugged", "silent", "clipped", "covered_up", "contacts_lost"

} // namespace quietpass
