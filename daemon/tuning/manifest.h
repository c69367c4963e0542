// Which clips a folder holds and what they are; FORMATS.md describes the files for a user.
//
// A manifest is tab-separated with a header; columns by name: path (relative to the folder), class,
// recording, note (may be missing; "squeal_segs=0.3-1.2,2.0-2.4" in it gives the squeals of a clip). Without
// a manifest, the class of a clip is the sub-folder it lies in and every file is its own recording.
//
// Classes that mean something: cattle (calls), pig_squeal (calls), pig_grunt (grunts); pig_other is left out;
// machine, engine, air, water, other_noise and saw may also serve as background; any other name is "something
// else". Labels: a tab-separated file path, start_s, end_s, label (call, grunt, other, ignore); a clip named
// there has those spans and no others.
//
// Throws Failure: exit 2 for a file that doesn't parse (with its line), 1 for one that can't be read.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "classifiers/tuning/clip.h"

namespace quietpass {

struct ManifestEntry {
    std::filesystem::path file;
    std::string path; // as written in the manifest
    std::string kind;
    std::string recording;
    std::vector<tuning::Span> squeals; // from the note
    int fold = 0;                      // set by number_folds
};

using SpanLabels = std::map<std::string, std::vector<tuning::Span>>; // by path

std::vector<ManifestEntry> read_manifest(const std::filesystem::path& file,
                                         const std::filesystem::path& folder);
std::vector<ManifestEntry> entries_of_folder(const std::filesystem::path& folder);
// As classifiers/tuning/folds.h says, over every clip listed, so that the manifest alone tells the fold: a
// clip that teaches nothing still has its number.
void number_folds(std::vector<ManifestEntry>& entries, int folds);
SpanLabels read_labels(const std::filesystem::path& file);

} // namespace quietpass
