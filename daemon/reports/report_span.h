// Which shifts a report is of: one, or those that start in a week, a month or between two moments of the
// station's time. A shift over midnight belongs to the day it starts in.
//
// Errors: Failure (exit 2) with one line for what is no week or month. Plain values; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "daemon/records/local_time.h"

namespace quietpass {

enum class SpanKind { kShift, kWeek, kMonth, kBetween };

struct ReportSpan {
    SpanKind kind = SpanKind::kShift;
    std::string name;          // "2026-W10", "2026-03"; empty for the other kinds
    std::int64_t shift_id = 0; // of one shift
    // Shifts that start in [from, to); of one shift: empty.
    std::optional<std::int64_t> from_utc_ns;
    std::optional<std::int64_t> to_utc_ns;

    bool holds_start(const std::optional<std::int64_t>& start_utc_ns) const;
};

std::string_view name_of(SpanKind kind); // "shift", "week", "month", "between"

// "2026-W10", by ISO 8601: weeks begin on Monday, the first holds 4 January.
ReportSpan week_span(const std::string& week, const LocalTime& time);

// "2026-03"
ReportSpan month_span(const std::string& month, const LocalTime& time);

} // namespace quietpass
