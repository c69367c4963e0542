// The percentage of each shift against the true one, and what it becomes when it is corrected for the ears'
// sensitivity and specificity (true_share.h).
//
// These must not come from the shift itself, or the correction would only give back what was put in. Without
// rates from elsewhere, each shift takes those of the other shifts of its level; all shifts together then
// have none. Pure; any thread.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "classifiers/evaluation/judged_passage.h"
#include "classifiers/evaluation/true_share.h"

namespace quietpass::evaluation {

struct KnownRates {
    HearingRates all;
    std::map<int, HearingRates> by_level; // dB; taken before `all` where the shift's level is there
};

struct ShareRow {
    std::string shift;        // empty: all together
    std::optional<int> level; // of its calls, dB over the background
    std::int64_t vocal = 0;   // truly
    Rate called;              // of the passages that stand as judged
    std::optional<Interval> interval;
    std::optional<TrueShare> corrected;

    std::optional<double> true_share() const { return Rate{vocal, called.n}.value(); }
    // Called share less true share, percentage points.
    std::optional<double> error_points() const;
    bool inside() const; // the interval contains the true share
};

// One row a shift, in order of first appearance; then, with more than one, all together.
std::vector<ShareRow> share_rows(std::span<const JudgedPassage> passages,
                                 const std::optional<KnownRates>& known,
                                 double confidence = kUsualConfidence);

} // namespace quietpass::evaluation
