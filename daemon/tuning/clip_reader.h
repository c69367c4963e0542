// Reads the clips of a corpus: mono (channels averaged), resampled to the trainer's rate, with their known
// spans.
//
// Throws Failure (exit 1) for a file that isn't audio, is empty, or holds values that are no numbers.
#pragma once

#include <functional>
#include <vector>

#include "classifiers/tuning/clip.h"
#include "daemon/tuning/manifest.h"

namespace quietpass {

// Each clip has its entry's fold. Clips that can't teach anything (class pig_other, nothing audible in them)
// are left out.
std::vector<tuning::Clip> read_clips(const std::vector<ManifestEntry>& entries, const SpanLabels& labels,
                                     const std::function<void(std::size_t done)>& progress);

} // namespace quietpass
