// What is known of each passage that may go with its calls: the cycle's figures, the line's pace, the lot and
// the notes. Pure; any thread.
//
// The line rate around a passage is that of the animals before it: 3600 s over the median of the last ten
// times between entries in its shift, so that a stop of the line does not make a slow line; nothing before
// five of them.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/journal/journal.h"
#include "daemon/records/span_rows.h"

namespace quietpass {

// Where a counted call can lie.
inline constexpr std::array<Phase, 4> kCountedPhases = {Phase::kEntry, Phase::kBodyHeld, Phase::kHeld,
                                                        Phase::kAtStun};

struct PassageFacts {
    SpanPassage row;
    std::array<bool, 4> vocal_in{}; // by kCountedPhases
    std::optional<double> held_for_s;
    std::optional<double> line_rate_per_hour;
    // From 1, counted from the start by the plan, else from where the store's shift begins.
    std::int64_t hour_of_shift = 1;
    std::optional<std::string> lot;
    std::vector<std::string> notes;

    bool scored() const { return row.passage.excluded.empty(); }
    bool vocal() const { return row.passage.vocal; }
    bool vocal_in_phase(Phase phase) const;
};

// The passages of the span, in order; those before it in its first shift only help with the line rate.
std::vector<PassageFacts> facts_of(SpanRows rows, const Journal& journal, const RecordSpan& span);

} // namespace quietpass
