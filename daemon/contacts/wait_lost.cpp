#include "daemon/contacts/wait_lost.h"

#include <algorithm>

namespace quietpass {

bool wait_lost(SourceThread& thread, LevelReport& report, const Clock& clock, const std::string& why,
               double wait_s) {
    const RealTime::time_point until = RealTime::now() + real_seconds(wait_s);
    for (;;) {
        report.lost(clock.monotonic_ns(), why);
        const RealTime::time_point now = RealTime::now();
        if (now >= until) return true;
        if (!thread.wait_until(std::min(until, now + real_seconds(kTellLossEvery_s)))) {
            report.lost(clock.monotonic_ns(), why);
            return false;
        }
    }
}

} // namespace quietpass
