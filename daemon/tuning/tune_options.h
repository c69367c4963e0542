// The command line of quietpass-tune.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "classifiers/tuning/tuning.h"

namespace quietpass {

enum class TuneTask { kTrain, kCompare, kGoBack, kHistory };

struct TuneOptions {
    TuneTask task = TuneTask::kTrain;
    std::vector<std::string> clips;
    std::string manifest;
    std::vector<std::string> labels;
    std::vector<std::string> findings;
    std::string out;
    std::string report;
    std::string each_fold;            // folder for the folds' profiles; empty: none
    std::vector<std::string> compare; // old, new
    std::vector<std::string> audio;   // to compare on
    std::string profile;              // whose history is asked for or gone back in
    std::optional<int> to;
    bool quiet = false;
    tuning::TuningOptions tuning;
};

// Nothing when only help was asked for (already printed). Throws Failure (exit 2).
std::optional<TuneOptions> read_tune_options(int argc, char** argv);

} // namespace quietpass
