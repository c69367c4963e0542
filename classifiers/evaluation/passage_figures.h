// The figures of passages: all together, and by the level of their calls over the background (loudest
// first). Only passages that stand as judged count. Pure; any thread.
#pragma once

#include <span>
#include <vector>

#include "classifiers/evaluation/figures.h"
#include "classifiers/evaluation/judged_passage.h"

namespace quietpass::evaluation {

std::vector<FigureRow> passage_figures(std::span<const JudgedPassage> passages,
                                       const BootstrapSettings& settings = {});

} // namespace quietpass::evaluation
