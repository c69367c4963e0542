// Which audio two profiles are compared on, and what is known of it: --audio, --clips and --findings
// together.
//
// Spans of --labels belong to a clip of --clips, or to a file of --audio, by its name as given. A findings
// table brings its files along. Throws Failure as the readers of those do.
#pragma once

#include <vector>

#include "daemon/tuning/compare_profiles.h"
#include "daemon/tuning/tune_options.h"

namespace quietpass {

// At least one file, each once; Failure (exit 1) for none.
std::vector<ComparedFile> files_to_compare(const TuneOptions& options);

} // namespace quietpass
