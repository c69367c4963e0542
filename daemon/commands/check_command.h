// `quietpass check`: how a station is, one line a thing, good or what to do. While a daemon listens there,
// its microphones and contacts are told from its records; else they are opened and read here. Nothing is
// written, no alarm is sent.
#pragma once

#include <string>

namespace quietpass {

struct CheckOptions {
    std::string station;
    std::string out;
    bool no_inputs = false; // without microphones and contacts
    bool json = false;
};

// The exit code: 0 when nothing is bad, 1 when something is, 2 for a station file that can't be read (which
// is told like the rest). Throws nothing but what printing throws.
int check(const CheckOptions& options);

} // namespace quietpass
