// Which findings hold: those that nobody took back. Of several on one call the latest says; that people
// disagreed is told apart. Pure; any thread.
#pragma once

#include <cstdint>
#include <map>
#include <utility>
#include <vector>

#include "daemon/records/finding.h"

namespace quietpass {

// In the order given, which is that of the store.
std::vector<Finding> findings_in_force(const std::vector<Finding>& all);

struct CallReview {
    Finding latest;
    bool disputed = false; // two findings in force say different things of whether it is a call
};

using CallKey = std::pair<std::int64_t, std::int64_t>; // shift_id, call_id

std::map<CallKey, CallReview> reviews_of(const std::vector<Finding>& all);

} // namespace quietpass
