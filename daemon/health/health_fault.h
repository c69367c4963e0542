// A stretch in which a microphone can't be trusted, and why. Seconds of its own sample clock. Plain value.
#pragma once

#include "daemon/capture/gap.h"

namespace quietpass {

struct HealthFault {
    double start_s = 0.0;
    double end_s = 0.0;
    GapCause cause = GapCause::kSilent;
};

} // namespace quietpass
