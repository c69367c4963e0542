// The figures of a heap of judged things (passages, sounds or clips): rates with intervals, F1, kappa.
//
// Intervals of rates: Wilson. Of F1: by F* (f1_interval.h), and by drawing recordings anew
// (cluster_bootstrap.h), which is the wider and the more honest one where calls of a recording recur. Pure;
// any thread.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "classifiers/evaluation/cluster_bootstrap.h"
#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::evaluation {

struct Judged {
    bool is_call = false;
    bool called = false;
    std::string cluster; // what is heard or missed together: the recording; empty: by itself
};

struct Figures {
    Confusion counts;
    std::optional<Interval> sensitivity;
    std::optional<Interval> specificity;
    std::optional<Interval> precision;
    std::optional<Interval> f1;
    ClusterIntervals by_cluster;
};

Figures figures_of(std::span<const Judged> judged, const BootstrapSettings& settings = {});

// One line of the table of figures.
struct FigureRow {
    std::string unit;  // passage, event, clip, recording
    std::string by;    // all, snr, phase, class, fold: what the group is one of
    std::string group; // "5" dB, "held", …; empty for all
    Figures figures;
};

// Whether quiet things were judged too: calls one by one have no quiet counterpart, only false ones.
bool tells_quiet_apart(const FigureRow& row);

} // namespace quietpass::evaluation
