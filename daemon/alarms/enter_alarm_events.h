// What a person says of alarms: acknowledged, or cleared. A row for each, all or none; the daemon finds them
// within a second.
//
// Errors: Failure, exit 2 for an alarm that isn't there, 1 for one that is acknowledged or cleared already;
// StoreError. One thread a Store.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/records/store.h"

namespace quietpass {

// event: "acknowledged" or "cleared".
void enter_alarm_events(Store& store, const std::vector<std::int64_t>& alarms, const std::string& event,
                        const std::string& by, std::int64_t utc_ns);

} // namespace quietpass
