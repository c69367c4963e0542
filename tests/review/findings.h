// Findings, passages and calls as a test wants them.
#pragma once

#include <string>
#include <vector>

#include "daemon/passages/passage.h"
#include "daemon/passages/station_call.h"
#include "daemon/records/finding.h"

namespace quietpass {

inline constexpr std::int64_t kShift = 3;

inline Finding finding(std::int64_t id, std::int64_t call_id, CallVerdict verdict,
                       const std::string& by = "A. Reviewer") {
    Finding made;
    made.id = id;
    made.shift_id = kShift;
    made.call_id = call_id;
    made.verdict = verdict;
    made.by = by;
    made.utc_ns = 1'772'500'000'000'000'000 + id * 1'000'000'000;
    return made;
}

inline Finding withdrawal(std::int64_t id, const Finding& of) {
    Finding made = finding(id, of.call_id, of.verdict);
    made.withdraws = of.id;
    return made;
}

inline Passage passage(std::int64_t id, const std::string& excluded = "") {
    Passage made;
    made.id = id;
    made.excluded = excluded;
    return made;
}

inline StationCall call(std::int64_t id, std::int64_t passage_id, bool counted = true) {
    StationCall made;
    made.id = id;
    made.passage_id = passage_id;
    made.counted = counted;
    return made;
}

} // namespace quietpass
