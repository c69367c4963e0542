// Trains a scorecard. Of one condition a term: boosted stumps, those on one threshold together being a term.
// Of two or three: trees propose conditions, the best of them become terms, and boosting over those terms
// alone sets their points. What the boosting library says of a sound and what the scorecard says of it are
// the same number.
#pragma once

#include <cstdint>
#include <vector>

#include "classifiers/profile.h"
#include "classifiers/tuning/labelled_sound.h"

namespace quietpass::tuning {

struct TrainingSettings {
    std::size_t terms = 250;        // at most
    int depth = 1;                  // 1 … 3 conditions a term
    double call_weight_share = 0.1; // of all weight, what the calls together have
    int stump_rounds = 600;         // most, of one condition a term
    int proposing_rounds = 200;     // of more
    int weighing_rounds = 300;
    // Of one condition a term: the points of a measure only rise or only fall with its value, unless its way
    // there and back are both this share of the longer one or more. 0: any course; above 1: all monotone.
    double two_way_share = 0.5;
    std::uint64_t seed = 1;
};

struct TrainedCard {
    Scorecard card;            // base and terms; cut, gates and kind are the caller's
    std::vector<double> gains; // of each term, how much the scores spread by it, points
    double largest_difference =
        0; // between the library's log odds and the card's score over the training sounds
};

// sounds: those of kIgnore are left out; `target` are the ones to find, all others not. Both must be there
// (std::invalid_argument). Weights within the two sides are the sounds' own.
TrainedCard train_scorecard(const std::vector<const LabelledSound*>& sounds, SpanLabel target,
                            const TrainingSettings& settings);

} // namespace quietpass::tuning
