// The command line of quietpass-tune.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "classifiers/tuning/tuning.h"

namespace quietpass {

struct TuneOptions {
    std::vector<std::string> clips;
    std::string manifest;
    std::vector<std::string> labels;
    std::string out;
    std::string report;
    std::string each_fold; // folder for the folds' profiles; empty: none
    bool quiet = false;
    tuning::TuningOptions tuning;
};

// Nothing when only help was asked for (already printed). Throws Failure (exit 2).
std::optional<TuneOptions> read_tune_options(int argc, char** argv);

} // namespace quietpass
