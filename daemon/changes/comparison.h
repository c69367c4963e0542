// Before against after a change: both shares, their difference, whether chance alone would do it, and how
// many more passages would tell.
//
// In: the scored passages of both windows, lots where they are known; what is hoped for; when a difference
// counts as shown. It shows that the share differs, never that the change did it. Shares are fractions, the
// difference is after − before. Pure; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "classifiers/statistics/cluster_share.h"
#include "classifiers/statistics/newcombe_difference.h"
#include "classifiers/statistics/passages_needed.h"

namespace quietpass {

struct ComparedSide {
    evaluation::Rate vocal;
    std::vector<evaluation::Rate> lots;                        // empty unless every passage has its lot
    std::optional<Interval> interval;                          // set by compare
    std::optional<statistics::ClusterShare> allowing_for_lots; // set by compare, from two lots up
};

struct ComparisonWish {
    statistics::Showing showing;       // level and power: custom, no source
    std::optional<double> hoped_share; // after the change; none: half of what was before
    double confidence = kUsualConfidence;
};

struct Comparison {
    ComparedSide before;
    ComparedSide after;
    std::optional<statistics::Difference> difference; // nothing where a side is empty
    std::optional<Interval> difference_allowing_for_lots;
    double fisher_p = 1.0;
    bool shown = false; // p under the level
    statistics::Showing showing;
    std::optional<double> hoped_share;             // nothing where nobody was vocal before
    std::optional<std::int64_t> needed_each;       // passages on each side for the hoped-for difference
    std::optional<std::int64_t> needed_more_after; // beyond those that are there; nothing: no number
};

Comparison compare(ComparedSide before, ComparedSide after, const ComparisonWish& wish);

// In plain words, a line each: what was seen, whether it is shown, what it would take.
std::vector<std::string> words_of(const Comparison& comparison);

} // namespace quietpass
