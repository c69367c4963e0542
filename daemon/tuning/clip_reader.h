// Reads the clips of a corpus: mono (channels averaged), resampled to the trainer's rate, with their known
// spans.
//
// Throws Failure (exit 1) for a file that isn't audio, is empty, or holds values that are no numbers.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "classifiers/tuning/clip.h"
#include "daemon/tuning/manifest.h"

namespace quietpass {

// Each clip has its entry's fold. Clips that can't teach anything (class pig_other, nothing audible in them)
// are left out.
std::vector<tuning::Clip> read_clips(const std::vector<ManifestEntry>& entries, const SpanLabels& labels,
                                     const std::function<void(std::size_t done)>& progress);

// A stretch of a file of any length, from `start_s` (at 0 when negative) to `end_s` or the file's end.
std::vector<float> read_piece(const std::string& file, double start_s, double end_s);

// Seconds.
double length_of(const std::string& file);

} // namespace quietpass
