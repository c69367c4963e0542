// A scored shift and the truth about it, read side by side.
//
// In: the folder of a scored shift (passages.csv and, for the calls one by one, calls.csv), or the folder
// that holds it under `scored`. The truth: a file of passages, or truth.csv in that folder or the one above;
// truth_calls.csv and truth_sounds.csv beside it when they are there. FORMATS.md has the columns.
//
// Passages meet by time of entry, never by row; a truth without times by the passage's number. Throws
// Failure: 1 for what can't be read or matched, 2 for what stands in a file.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/events.h"
#include "classifiers/evaluation/judged_passage.h"

namespace quietpass {

struct ShiftTruth {
    std::vector<evaluation::JudgedPassage> passages;
    std::optional<evaluation::ShiftEvents> events; // judged; nothing without truth_calls.csv and calls.csv
    std::string species;                           // of its calls; empty when there are none
};

// truth: empty for the truth.csv beside. entry_within_s: how far apart the two times of one entry may be.
ShiftTruth read_shift_truth(const std::filesystem::path& folder, const std::filesystem::path& truth,
                            double entry_within_s);

} // namespace quietpass
