// One soak: makes the plan, lives it through the daemon, and says what it found. Prints the figures of each
// day as they come. Throws Failure for what can't be begun.
#pragma once

#include <string>
#include <vector>

#include "tests/soak/plan.h"

namespace quietpass::soak {

struct SoakWish {
    PlanWish plan;
    std::vector<std::string> reels; // folders of made shifts
    std::string folder;             // for everything that is written; its `out` is emptied
};

struct SoakResult {
    std::vector<std::string> wrong; // one line each; empty: all accounted for, whole and flat
    std::string digest;             // of what was recorded of animals, calls, gaps and edges
};

SoakResult soak(const SoakWish& wish);

} // namespace quietpass::soak
