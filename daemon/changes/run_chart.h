// A run chart of the share vocal: groups of consecutive scored passages against the limits of a p-chart whose
// mean is the share before the change.
//
// In: passages in order of entry. A group never spans the change; the last one of a side may be smaller, and
// has limits of its own size. Shares are fractions. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass {

struct ChartPassage {
    std::int64_t entered_utc_ns = 0;
    bool vocal = false;
};

struct ChartGroup {
    bool after = false;
    std::int64_t first_utc_ns = 0; // its first animal
    evaluation::Rate vocal;
    std::optional<Interval> limits; // nothing without passages before
    bool outside() const;
};

struct RunChart {
    std::optional<double> mean; // of before
    std::vector<ChartGroup> groups;
};

RunChart run_chart(const std::vector<ChartPassage>& before, const std::vector<ChartPassage>& after,
                   std::int64_t group_size);

// The same of groups that are made already, as whole shifts are: the mean is that of those before, and each
// group has the limits of its size.
RunChart charted(std::vector<ChartGroup> groups);

// One line of the drawn chart for each group, all of the same scale: `|` the mean, `:` the limits, `*` the
// group, `#` a group outside them.
struct DrawnChart {
    std::vector<std::string> lines;
    double right_percent = 0.0; // the left end is 0
};

DrawnChart drawn(const RunChart& chart, std::size_t columns);

} // namespace quietpass
