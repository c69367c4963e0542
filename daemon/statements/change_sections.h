// What `quietpass change compare` says, in parts: the two sides, their run chart, and what else was altered.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/changes/comparison.h"
#include "daemon/changes/run_chart.h"
#include "daemon/factors/passage_facts.h"
#include "daemon/journal/journal.h"
#include "daemon/records/local_time.h"
#include "daemon/tables/table.h"

namespace quietpass {

// The scored passages of one side of a change.
struct ChangeSide {
    std::vector<PassageFacts> passages;

    ComparedSide compared() const; // with its lots where each passage has one
    std::vector<ChartPassage> charted() const;
    Cell first() const; // UTC of the first and the last entry
    Cell last() const;
};

// A share as percent, an interval's ends as percent; empty where there is none.
Cell percent_cell(const std::optional<double>& share);
Cell low_of(const std::optional<Interval>& interval);
Cell high_of(const std::optional<Interval>& interval);

Section sides_section(const JournalEntry& change, const Comparison& comparison, const ChangeSide& before,
                      const ChangeSide& after, const LocalTime& time);
Section chart_section(const RunChart& chart, std::int64_t group, const LocalTime& time);

// What else was altered within the windows, so that it may be that; a line each.
std::vector<std::string> other_changes(const Journal& journal, std::int64_t id, const ChangeSide& before,
                                       const ChangeSide& after, const LocalTime& time);

} // namespace quietpass
