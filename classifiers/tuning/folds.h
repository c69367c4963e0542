// Which recordings are trained on together and which are kept to check with.
//
// Within each class the recordings are sorted by name, and the i-th belongs to fold i mod `folds`; so anyone
// can tell from a manifest alone what a profile trained without a fold has never heard.
#pragma once

#include <vector>

#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {

// folds ≥ 1. Sets Clip::fold.
void assign_folds(std::vector<Clip>& clips, int folds);

// For recordings in which one finding is a call and the next is none: a recording has one fold, whatever the
// classes of its clips. Those with calls are sorted by name, the i-th in fold i mod `folds`; then those
// without, likewise.
void assign_folds_by_recording(std::vector<Clip>& clips, int folds);

} // namespace quietpass::tuning
