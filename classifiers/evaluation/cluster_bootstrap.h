// Intervals that don't take the judged things as independent: calls of one recording are heard or missed
// together, so whole clusters (recordings) are drawn anew, with replacement, and the figure is taken from
// each draw. Clusters with a call in them and clusters without are drawn apart, because the numbers of both
// were set by who made the test.
//
// In: the counts of each cluster, in any fixed order. Out: the percentile interval of F1 and of kappa over
// the draws in which they exist; nothing with fewer than two clusters with calls. The same seed gives the
// same interval. Pure; any thread. It says too little where nothing was missed and nothing false: then both
// ends are 1; read f1_interval.h's beside it.
//
// Source: the percentile method of B. Efron, Ann. Stat. 7 (1979) 1; clusters drawn whole: A. C. Davison,
// D. V. Hinkley, Bootstrap Methods and their Application (1997), section 3.8.
#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::evaluation {

struct BootstrapSettings {
    int draws = 2000;
    std::uint64_t seed = 1;
    double confidence = kUsualConfidence;
};

struct ClusterIntervals {
    std::optional<Interval> f1;
    std::optional<Interval> kappa;
};

ClusterIntervals cluster_bootstrap(std::span<const Confusion> clusters,
                                   const BootstrapSettings& settings = {});

} // namespace quietpass::evaluation
