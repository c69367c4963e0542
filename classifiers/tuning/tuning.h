// From labelled clips to a profile and the figures it was found to reach: simulated shifts, cross-validation
// by recording, the cut for a real plant, then the profile trained on everything.
//
// Deterministic: the same clips, options and seed give the same profile. Errors: std::invalid_argument for
// clips that can't be trained on, std::runtime_error from the training library. No files, no clock.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "classifiers/profile.h"
#include "classifiers/tuning/heard_corpus.h"
#include "classifiers/tuning/passage_tally.h"
#include "classifiers/tuning/scorecard_trainer.h"

namespace quietpass::tuning {

struct TuningOptions {
    CorpusPlan corpus;
    TrainingSettings training;
    SegmentSettings segments;
    double most_false_alarms = 0.02; // share of quiet passages that sets the cut
    double vocal_share = 0.03;       // of a plant's passages; what the report's precision stands for
};

// How often sounds of one class were judged calls.
struct ClassFigure {
    int sounds = 0;
    int judged_calls = 0;
};

struct TuningResult {
    Profile profile;
    // One a fold, trained without its recordings and with the cut that the other folds' quiet passages ask
    // for: to check with. Empty for a fold that was left out.
    std::vector<Profile> fold_profiles;
    std::vector<double> gains;                             // of the first card's terms
    std::map<double, PassageTally, std::greater<>> by_snr; // in plants, each fold with the cut of the others
    PassageTally quiet;                                    // all quiet passages of plants, likewise
    // What each measure of the cards is worth: by how much the share of vocal passages heard, all levels and
    // folds together at the same share of false alarms, falls when its terms are taken off (not retrained).
    std::map<std::size_t, double> losses;
    std::map<std::string, ClassFigure> classes;    // by class of what was heard, plants and elsewhere
    std::map<std::string, ClassFigure> recordings; // of calls that were found as sounds, 5 dB and better
    std::map<std::string, int> false_alarms_by;    // class behind the false alarms of plants
    std::vector<ScoredPassage> checked; // every passage, scored by the card that never heard its recordings
    int calls = 0;                      // placed
    int calls_found = 0;                // of which any sound was found
    std::size_t passages = 0;
    double hours = 0.0;
    double largest_difference = 0.0; // between the training library and the scorecard, points
};

TuningResult tune(const std::vector<Clip>& clips, const TuningOptions& options, const Progress& progress);

// The second half of it: from what was heard to the profile. options.corpus and options.segments as they were
// heard with.
TuningResult tune_heard(const std::vector<CorpusStream>& streams, const TuningOptions& options,
                        const Progress& progress);

} // namespace quietpass::tuning
