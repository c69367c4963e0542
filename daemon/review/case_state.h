// What a case is at the moment, by its events. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "daemon/records/case_file.h"

namespace quietpass {

struct CaseState {
    bool open = true;
    std::string decision;                                     // the last; empty: none yet
    std::set<std::pair<std::int64_t, std::int64_t>> passages; // shift, passage: added and not dropped
    std::set<std::pair<std::int64_t, std::int64_t>> calls;    // shift, call
    std::set<std::int64_t> clips;
    std::set<std::int64_t> shifts; // of all of these
    std::int64_t exports = 0;
};

CaseState state_of(const CaseFile& file);

} // namespace quietpass
