// What people found when they reviewed sounds, as material to train and to compare with. The file's format
// stands in FORMATS.md.
//
// Throws Failure: exit 2 with file and line for what stands in the table, 1 for a file that can't be read.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "classifiers/species.h"
#include "classifiers/tuning/clip.h"

namespace quietpass {

struct Finding {
    std::filesystem::path file; // as it can be opened
    std::string recording;
    tuning::Span span; // seconds in the file; kOther: not_call, kIgnore: unsure
};

// Every span lies within its file; audio is opened to see that.
std::vector<Finding> read_findings(const std::filesystem::path& table);

// One clip a finding, cut out with a little around it; folds by recording. Left out: unsure ones. A grunt is
// class pig_grunt for pigs, and no call of cattle.
std::vector<tuning::Clip> clips_of(const std::vector<Finding>& findings, Species species, int folds,
                                   const std::function<void(std::size_t done)>& progress);

} // namespace quietpass
