// Calls one by one: which true calls were heard, which found calls were none, and what was to be heard there
// instead.
//
// A true call is heard when a found call overlaps it at all; a found call that overlaps no true call of the
// species is false. Calls of waiting animals and calls after the stun are calls like any other here: that
// they never count is the passages' business. There is nothing that could be counted as rightly left alone,
// so there is no specificity. Seconds. Pure; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/figures.h"
#include "classifiers/evaluation/time_matching.h"

namespace quietpass::evaluation {

struct TrueCall {
    TimeSpan span;
    std::string recording;
    std::string phase; // entry, body_held, held, at_stun, after_stun, waiting; empty when not known
    std::optional<double> snr_db;
    bool heard = false; // set by judge_events
};

struct FoundCall {
    TimeSpan span;
    std::optional<int> level;  // of its shift's calls, dB over the background
    std::string quiet_passage; // the truly quiet passage that it made vocal; empty otherwise
    bool is_call = false;      // set by judge_events
    // Set by judge_events: what it lies on most, of the true calls their phase, where it lies on one; else
    // the class of the other sound; empty: nothing.
    std::string behind;
};

// What was to be heard beside the calls: a disturbance, a grunt.
struct OtherSound {
    TimeSpan span;
    std::string kind;
    bool called = false; // set by judge_events: a false call lies on it more than on any other
};

struct ShiftEvents {
    std::vector<TrueCall> calls;
    std::vector<FoundCall> found; // that may count: no grunts
    std::vector<OtherSound> others;
};

void judge_events(ShiftEvents& events);

// All; by level over the background, loudest first; by phase. The events must be judged.
std::vector<FigureRow> event_figures(const std::vector<ShiftEvents>& shifts,
                                     const BootstrapSettings& settings = {});

// What was taken for a call that counts.
struct ConfounderRow {
    std::string kind; // class; "call, PHASE" for true calls that made the wrong passage vocal; empty: nothing
    Rate called; // of the sounds of that class, those with a false call on them; n = 0 for nothing and calls
    std::optional<Interval> interval;
    std::int64_t false_calls = 0;
    std::int64_t quiet_passages = 0; // that were made vocal by them; one may stand in several rows
};

// Most quiet passages first, then most false calls, then by name.
std::vector<ConfounderRow> confounders_of(const std::vector<ShiftEvents>& shifts,
                                          double confidence = kUsualConfidence);

} // namespace quietpass::evaluation
