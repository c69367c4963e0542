// Clips of one class of sound each: which were called calls.
//
// A clip is called when one call was found in it. A recording is called when half of its clips are, so that a
// recording cut into many clips weighs no more than one that wasn't. Pure; any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "classifiers/evaluation/figures.h"

namespace quietpass::evaluation {

struct JudgedClip {
    std::string path;
    std::string kind; // the manifest's class
    std::string recording;
    int fold = 0;
    bool is_call = false;
    bool called = false;
    std::optional<double> score; // the highest of its calls
    bool set_apart = false;      // nobody can say what it is: in no figure
};

// Clips and recordings, all; then clips by fold, where there is more than one.
std::vector<FigureRow> clip_figures(std::span<const JudgedClip> clips,
                                    const BootstrapSettings& settings = {});

struct ClassRow {
    std::string kind;
    bool is_call = false;
    Rate clips; // called, of all
    std::optional<Interval> interval;
    Rate recordings;
};

// Classes of calls first, then the largest share called first, then by name.
std::vector<ClassRow> class_rows(std::span<const JudgedClip> clips, double confidence = kUsualConfidence);

} // namespace quietpass::evaluation
