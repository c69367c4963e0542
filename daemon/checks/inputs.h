// The station's microphones and contacts, opened and read here: only while no daemon has them. None of these
// throws. One thread; each takes some seconds.
#pragma once

#include "daemon/checks/check_line.h"
#include "daemon/clock.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// Listens to each for so long: is there sound, and is it clipped?
CheckLines check_microphones(const StationSettings& settings, const Clock& clock, double listen_s = 3.0);
// Reads each once; waits so long for an answer.
CheckLines check_contacts(const StationSettings& settings, const Clock& clock, double within_s = 6.0);

} // namespace quietpass
