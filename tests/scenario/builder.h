// Makes a shift out of a scenario: audio.wav (a channel a microphone), contacts.csv, truth.csv,
// truth_calls.csv and truth_sounds.csv in a folder (FORMAT.md has the columns). The same scenario, recordings
// and seed give the same bytes.
//
// Streams: memory does not grow with the length of the shift. Files appear under their names only when whole.
// Throws Failure: exit 2 for a scenario that can't be (no recordings of a class, no room for a call that was
// asked for), exit 1 for what can't be read or written.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "tests/scenario/scenario.h"

namespace quietpass::scenario {

struct BuildOptions {
    std::string out_folder;               // made if it isn't there
    bool stems = false;                   // also bed.wav and calls.wav (float): what was mixed, apart
    std::function<void(double)> progress; // share done, 0 … 1; may be empty
};

struct BuildSummary {
    double length_s = 0.0;
    int passages = 0;
    int vocal_passages = 0;
    int calls = 0; // of the species, waiting animals' included
    int counted_calls = 0;
    std::int64_t clipped_samples = 0; // samples that met full scale
};

BuildSummary build(const Scenario& scenario, const BuildOptions& options);

} // namespace quietpass::scenario
