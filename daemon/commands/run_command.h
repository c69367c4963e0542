// `quietpass run`: the daemon. Listens at a station until SIGTERM or SIGINT; SIGHUP ends what it does in the
// same way and begins anew with the settings on the disk, if they can be taken. It writes what it finds into
// OUT/records.db as it comes, and each shift's calls.csv, passages.csv and shift.json into
// OUT/shifts/START_NAME/ when it closes. OUT/contacts_START.csv holds the run's edges, so that a recording of
// the same sound can be scored again. Throws Failure at set-up only.
#pragma once

#include <string>

namespace quietpass {

struct RunOptions {
    std::string station;
    std::string out;
    std::string log;    // empty: standard error
    double for_s = 0.0; // 0: until stopped
    double speed = 1.0;
    bool show = false;
};

class RunInputs;

void run(const RunOptions& options);
// The same on another computer than this one; options.speed is its own affair.
void run(const RunOptions& options, RunInputs& computer);

} // namespace quietpass
