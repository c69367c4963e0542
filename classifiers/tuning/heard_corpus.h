// Simulated shifts made from a corpus, fold by fold, and every sound the shipped SoundFinder finds in them. A
// fold's streams hold recordings of that fold alone, so that no recording is on both sides of a check.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "classifiers/segment_settings.h"
#include "classifiers/species.h"
#include "classifiers/tuning/clip.h"
#include "classifiers/tuning/labelled_sound.h"

namespace quietpass::tuning {

struct CorpusPlan {
    Species species = Species::kCattle;
    int folds = 5;
    int leave_out = -1; // this fold is not heard at all; −1: none
    double size = 1.0;  // how many streams, against the usual number
    std::uint64_t seed = 1;
};

struct CorpusStream {
    int fold = 0;
    StreamPlan plan;
    HeardStream heard;
};

// done and all: streams.
using Progress = std::function<void(std::size_t done, std::size_t all, const std::string& what)>;

// Throws std::invalid_argument when a fold has no calls of the species.
std::vector<CorpusStream> hear_corpus(const std::vector<Clip>& clips, const CorpusPlan& plan,
                                      const SegmentSettings& settings, const Progress& progress);

} // namespace quietpass::tuning
