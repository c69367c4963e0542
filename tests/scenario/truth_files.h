// Writes contacts.csv, truth.csv, truth_calls.csv and truth_sounds.csv (FORMAT.md has the columns). Each file
// appears under its name only when whole. Throws Failure (exit 1).
#pragma once

#include <string>

#include "tests/scenario/timeline.h"

namespace quietpass::scenario {

void write_truth(const Timeline& timeline, const std::string& folder);

} // namespace quietpass::scenario
