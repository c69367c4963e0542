// What of the store belongs into a case: passages of a span, calls, and the clips of both.
//
// A clip belongs to a passage when it is of the passage or of one of its calls, and a clip of a continuous
// recording when it lies over it. Errors: Failure (exit 2) for what isn't there. One thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/records/case_file.h"
#include "daemon/records/store.h"

namespace quietpass {

struct CaseWish {
    RecordSpan span; // passages entered in it, calls without one; asked for when the lists below are empty
    bool calling = false;      // of the span only passages with a call of any kind
    std::int64_t shift_id = 0; // of the two lists
    std::vector<std::int64_t> passages;
    std::vector<std::int64_t> calls; // with their passages
    std::vector<std::int64_t> clips;
};

// Events "added", without time and person, for what is not in the case yet: passages, calls, clips that are
// still there, each in order.
std::vector<CaseEvent> search_for_case(const Store& store, const CaseFile& file, const CaseWish& wish);

} // namespace quietpass
