// How a source waits before its next try to reach a lost device: the loss is told as it grows, so that nobody
// waits for the end of it to know what the other sources know. For the source's own thread.
#pragma once

#include <string>

#include "daemon/clock.h"
#include "daemon/contacts/level_report.h"
#include "daemon/contacts/source_thread.h"

namespace quietpass {

// False when it is time to stop.
bool wait_lost(SourceThread& thread, LevelReport& report, const Clock& clock, const std::string& why,
               double wait_s);

} // namespace quietpass
