// The CSV files of an evaluation: figures.csv, shares.csv, confounders.csv, classes.csv, judged_passages.csv,
// judged_clips.csv; those without a row are left out. FORMATS.md has the columns. The same evaluation gives
// the same bytes. Pure.
#pragma once

#include <vector>

#include "daemon/evaluation/evaluation.h"
#include "daemon/records/files.h"

namespace quietpass {

std::vector<NamedBytes> evaluation_csv(const Evaluation& evaluation);

} // namespace quietpass
