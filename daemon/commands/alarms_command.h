// `quietpass alarms list | show | ack | clear`: the alarms in OUT/records.db, also while the daemon runs.
// What is acknowledged or cleared here is a row that the daemon finds within about a second, or at its next
// start. Throws Failure: exit 2 for a folder without records or an alarm that isn't there, exit 1 for one
// that can't be acknowledged or cleared any more.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace quietpass {

struct AlarmsOptions {
    std::string out;
    std::vector<std::int64_t> alarms; // of show, ack, clear
    bool all = false;                 // list: cleared ones too
    std::string by;                   // empty: the user's login name
    bool csv = false;
    bool json = false;
};

void list_alarms(const AlarmsOptions& options);
void show_alarms(const AlarmsOptions& options);
void acknowledge_alarms(const AlarmsOptions& options);
void clear_alarms(const AlarmsOptions& options);

} // namespace quietpass
