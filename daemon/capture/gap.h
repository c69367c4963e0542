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
    kHum,          // mains hum over everything
    kWind,         // wind or water on the capsule
    kLevelFar,     // far from this microphone's own usual level
    kContactsLost, // a contact source did not answer
    kNotWritten,   // heard, but the disk took no more rows and too many waited
};

struct Gap {
    std::string source; // the microphone's name, the contact source's, or "records"
    double start_s = 0.0;
    double end_s = 0.0;
    GapCause cause = GapCause::kOverrun;
};

inline constexpr GapCause kGapCauses[] = {GapCause::kOverrun,   GapCause::kUnplugged, GapCause::kSilent,
                                          GapCause::kClipped,   GapCause::kCoveredUp, GapCause::kHum,
                                          GapCause::kWind,      GapCause::kLevelFar,  GapCause::kContactsLost,
                                          GapCause::kNotWritten};

// "overrun", "unplugged", "silent", "clipped", "covered_up", "hum", "wind", "level_far", "contacts_lost",
// "not_written"
std::string_view name_of(GapCause cause);

} // namespace quietpass
