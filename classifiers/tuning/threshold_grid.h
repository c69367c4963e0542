// The thresholds a scorecard may use: for each measure some quantiles of the training sounds, rounded to
// three significant digits, so that a person can read them and terms with equal conditions meet.
#pragma once

#include <array>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/profile.h"
#include "classifiers/tuning/booster.h"
#include "classifiers/tuning/labelled_sound.h"

namespace quietpass::tuning {

class ThresholdGrid {
  public:
    // sounds: not empty. Calls and others are given the same say in where the thresholds lie.
    ThresholdGrid(const std::vector<const LabelledSound*>& sounds, std::size_t per_measure);

    // Each value replaced by how many thresholds of its measure lie under it.
    Matrix steps_of(const std::vector<const LabelledSound*>& sounds) const;

    // The condition behind a split "steps < split".
    Condition condition(std::size_t measure, double split, bool above) const;

  private:
    std::array<std::vector<float>, kMeasureCount> thresholds_; // ascending
};

} // namespace quietpass::tuning
