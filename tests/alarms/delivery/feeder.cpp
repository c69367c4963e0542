// Puts messages into the outbox of a folder and hands them over, as the daemon does, until it is killed: the
// process that kill tests kill. Usage: feed-outbox STATION.toml FOLDER PREFIX COUNT. Prints each id once
// put() returned, then waits.
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/settings/station_file.h"
#include "tests/alarms/delivery/sample_message.h"

int main(int argc, char** argv) {
    if (argc != 5) return 2;
    using namespace quietpass;
    std::signal(SIGPIPE, SIG_IGN);
    const RealClock clock;
    const StationSettings settings = read_station_file(argv[1]);
    const auto delivery = open_delivery(settings, argv[2], clock, [](bool, const std::string&) {});
    for (int i = 0; i < std::atoi(argv[4]); ++i) {
        const AlarmMessage message = test::sample_message(argv[3] + std::to_string(i));
        delivery->put(message);
        std::printf("%s\n", message.id.c_str());
        std::fflush(stdout);
    }
    for (;;) pause();
}
