#include "classifiers/profile_steps.h"

#include <algorithm>

namespace quietpass {

std::vector<MeasureSteps> steps_of(const std::vector<Term>& terms) {
    std::vector<MeasureSteps> out;
    for (const Term& term : terms) {
        if (term.all_of.size() != 1) continue;
        const Condition& condition = term.all_of[0];
        auto steps = std::find_if(out.begin(), out.end(),
                                  [&](const MeasureSteps& s) { return s.measure == condition.measure; });
        if (steps == out.end()) {
            out.push_back({condition.measure, {}, {0.0}});
            steps = out.end() - 1;
        }
        const auto place = std::lower_bound(steps->at.begin(), steps->at.end(), condition.threshold);
        const auto at = place - steps->at.begin();
        if (place == steps->at.end() || *place != condition.threshold) {
            steps->at.insert(place, condition.threshold);
            steps->points.insert(steps->points.begin() + at, steps->points[static_cast<std::size_t>(at)]);
        }
        const auto first_over = steps->points.begin() + at + 1;
        std::for_each(condition.above ? first_over : steps->points.begin(),
                      condition.above ? steps->points.end() : first_over,
                      [&](double& points) { points += term.points; });
    }
    return out;
}

double add_terms(const MeasureSteps& steps, std::vector<Term>& terms) {
    double always = steps.points.front();
    for (std::size_t i = 0; i < steps.at.size(); ++i) {
        const double change = steps.points[i + 1] - steps.points[i];
        if (change == 0.0) continue;
        const bool above = change > 0.0;
        if (!above) always += change;
        terms.push_back({{{steps.measure, above, steps.at[i]}}, above ? change : -change});
    }
    return always;
}

} // namespace quietpass
