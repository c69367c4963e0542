// The passages of a span of time as the store has them, with what the figures over many passages need: over
// several shifts, without the edges, gaps and minutes that ShiftRows has. Plain values.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

#include "daemon/passages/passage.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

// What is asked for; empty: all. A shift is in it when it touches the span.
struct RecordSpan {
    std::optional<std::int64_t> from_utc_ns;
    std::optional<std::int64_t> to_utc_ns; // up to, not with
    std::optional<std::int64_t> shift_id;

    bool holds(const std::optional<std::int64_t>& utc_ns) const {
        if (!from_utc_ns && !to_utc_ns) return true;
        if (!utc_ns) return false; // files without a date
        return (!from_utc_ns || *utc_ns >= *from_utc_ns) && (!to_utc_ns || *utc_ns < *to_utc_ns);
    }
};

// A counted call.
struct SpanCall {
    double start_s = 0.0;
    Phase phase = Phase::kEntry;
};

// A bang (at its loudest moment) or a hiss (from its start).
struct SpanNoise {
    double time_s = 0.0;
    double end_s = 0.0;
    bool hiss = false;
    double level_db = 0.0; // as of calls
};

struct SpanPassage {
    std::int64_t shift_id = 0;
    Passage passage;
    std::optional<std::int64_t> entered_utc_ns; // none: files without a date
    std::optional<std::int64_t> end_utc_ns;
    std::vector<SpanCall> calls;   // counted, in order of onset
    std::vector<SpanNoise> noises; // that end from a second before the passage to its end, in order
};

struct SpanRows {
    std::vector<StoredShift> shifts; // oldest first
    // By shift_id, where it is known (planned_starts.h): a shift may have been opened anew after its start.
    std::map<std::int64_t, std::int64_t> planned_start_utc_ns;
    std::vector<SpanPassage> passages; // of all these shifts, in order of shift and passage id
};

} // namespace quietpass
