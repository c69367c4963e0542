// The share of vocal animals by the machine, and the same share by review.
//
// An animal is vocal by review when at least one of its counted calls is not judged not_a_call, other_species
// or person. A call that nobody judged, and one of which nobody could tell, keep the machine's word; the
// latter are counted apart. Both shares are over the same scored passages.
//
// Findings are of calls that the machine heard, so they can only lower the share: what it missed is found by
// hand audits and by clips of quiet passages. Say so where the figures are shown.
//
// Shares 0 … 1; times none. Pure; any thread.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "classifiers/evaluation/wilson.h"
#include "daemon/passages/passage.h"
#include "daemon/passages/station_call.h"
#include "daemon/review/findings_in_force.h"

namespace quietpass {

struct ReviewedShare {
    std::int64_t vocal = 0;
    std::optional<double> share;      // none: nothing was scored
    std::optional<Interval> interval; // Wilson, 95 %
};

struct ReviewedFigures {
    std::int64_t scored = 0;
    ReviewedShare machine;
    ReviewedShare reviewed;
    std::int64_t counted_calls = 0; // of scored passages; the five below are of these
    std::int64_t judged = 0;        // with a finding in force
    std::int64_t confirmed = 0;
    std::int64_t turned_down = 0;
    std::int64_t cannot_tell = 0;
    std::int64_t disputed = 0;
    std::vector<std::int64_t> turned_silent; // passages vocal by the machine and silent by review
};

ReviewedFigures reviewed_figures(const std::vector<Passage>& passages, const std::vector<StationCall>& calls,
                                 std::int64_t shift_id, const std::map<CallKey, CallReview>& reviews);

} // namespace quietpass
