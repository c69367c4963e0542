// `quietpass tune --compare`: what two profiles make of the same audio, as text of 80 columns.
//
// Throws Failure: exit 2 for profiles that don't parse or are of two species, 1 for audio that can't be read.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "classifiers/tuning/clip.h"

namespace quietpass {

struct ComparedFile {
    std::string file;
    std::string shown; // its name on the page
    std::string kind;  // of what is labelled as something else
    std::vector<tuning::Span> known;
    bool labelled = false;
};

// files: at least one.
std::string compare_profiles(const std::string& first, const std::string& second,
                             const std::vector<ComparedFile>& files,
                             const std::function<void(std::size_t done)>& progress);

} // namespace quietpass
