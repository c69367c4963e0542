// The first half of a timeline: when each animal enters, is held, stunned and released, when the line stands
// still, and what the contacts do. Box: an animal enters after the one before was released. Conveyor: several
// ride in line, first in, first out, and no contact closes twice within half a second.
#pragma once

#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

struct PassageTimes {
    double length_s = 0.0;
    std::vector<TruePassage> passages;
    std::vector<std::vector<double>> prods_s; // by passage
    std::vector<Span> stops;
};

PassageTimes make_passage_times(const Scenario& scenario);

std::vector<Edge> make_edges(const Scenario& scenario, const PassageTimes& times);

double on_grid(double time_s); // to the nearest ms

} // namespace quietpass::scenario
