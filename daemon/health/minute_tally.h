// Gathers the seconds of a minute into a MicrophoneMinute. Minutes are those of the microphone's sample
// clock: second 0, 60, 120 …; a second belongs to the minute in which it began.
//
// Pure; not thread-safe. Allocates nothing after construction but the minute's own name, which is left empty.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "daemon/health/microphone_minute.h"
#include "daemon/health/second_figures.h"
#include "daemon/health/signs.h"

namespace quietpass {

class MinuteTally {
  public:
    MinuteTally();

    // Adds a second; gives the minute before when this one begins another. Times are of the own clock.
    std::optional<MicrophoneMinute> add(const SecondFigures& second, bool worked, bool silent, bool clipped,
                                        const Signs& signs, bool usual_known);
    // What has been gathered of the minute under way, if anything.
    std::optional<MicrophoneMinute> finish();

  private:
    MicrophoneMinute minute_;
    double energy_ = 0.0; // Σ power · seconds
    std::vector<double> levels_db_, rumble_db_, body_db_, high_db_, hum_db_;
};

} // namespace quietpass
