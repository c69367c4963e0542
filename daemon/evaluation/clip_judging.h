// Runs labelled clips through the Ear, as `quietpass detect` does, and says which were called calls.
//
// The class of calls is cattle, or pig_squeal for pigs; a clip of it without a call in it (its labels say so)
// and pig_other for pigs are set apart, all other clips are none. Calls that lie mostly on a span labelled
// `ignore` are overlooked, grunts are no calls. With several profiles the i-th judges the recordings of fold
// i (classifiers/tuning/folds.h), which it must not have been trained on.
//
// Throws Failure for a clip that can't be read. Clips are heard on `jobs` threads; the result doesn't depend
// on their number.
#pragma once

#include <functional>
#include <vector>

#include "classifiers/evaluation/clip_figures.h"
#include "classifiers/evaluation/events.h"
#include "classifiers/profile.h"
#include "daemon/tuning/manifest.h"

namespace quietpass {

struct ClipJudging {
    std::vector<evaluation::JudgedClip> clips;
    std::vector<evaluation::ShiftEvents> events; // one a clip, judged: spans labelled as calls, calls found
};

// profiles: one, or one a fold, the entries numbered by number_folds; all of one species.
ClipJudging judge_clips(const std::vector<ManifestEntry>& entries, const SpanLabels& labels,
                        const std::vector<Profile>& profiles, int jobs,
                        const std::function<void(std::size_t done)>& progress);

} // namespace quietpass
