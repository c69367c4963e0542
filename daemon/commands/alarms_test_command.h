// `quietpass alarms test`: one test message to each channel of a station, or to one, at once and past the
// outbox's queues; a line a channel on standard output says what became of it. The outbox keeps what was
// tried and what came of it. A daemon may run at the same time.
//
// Throws Failure: exit 2 for a station file without such a channel, 1 when a channel did not take the
// message.
#pragma once

#include <string>

namespace quietpass {

struct AlarmsTestOptions {
    std::string station; // station file
    std::string out;     // folder of the records
    std::string channel; // a delivery's name, or a mail's NAME/ADDRESS; empty: all
};

void alarms_test(const AlarmsTestOptions& options);

} // namespace quietpass
