// The terms of one condition as tables, one a measure: what a value adds, by the thresholds it lies between.
// So they stand in a profile.
//
//   at = [0.2, 0.8], points = [0, +0.4, +1.1]     up to 0.2: 0; over 0.2: +0.4; over 0.8: +1.1 in all
//
// Pure functions.
#pragma once

#include <cstddef>
#include <vector>

#include "classifiers/scorecard.h"

namespace quietpass {

struct MeasureSteps {
    std::size_t measure = 0;
    std::vector<float> at;      // ascending
    std::vector<double> points; // one more than `at`: the whole a value adds
};

// Of the terms with one condition, in the order in which their measures come first.
std::vector<MeasureSteps> steps_of(const std::vector<Term>& terms);

// Terms that add the same, each with points above 0; what every value adds is returned for the card's base.
double add_terms(const MeasureSteps& steps, std::vector<Term>& terms);

} // namespace quietpass
