// The second half of a timeline: which sound is to be heard when. Calls keep clear of the borders of phases
// and of each other, so that truth is beyond dispute. Throws Failure (exit 2) where a call that was asked for
// finds no room.
#pragma once

#include "tests/scenario/passage_times.h"
#include "tests/scenario/recording_shelf.h"

namespace quietpass::scenario {

// Fills in the passages' numbers of calls.
std::vector<Cue> make_cues(const Scenario& scenario, PassageTimes& times, RecordingShelf& shelf);

} // namespace quietpass::scenario
