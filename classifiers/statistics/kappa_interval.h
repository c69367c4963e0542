// The interval of Cohen's kappa, for large samples.
//
// Out: within −1 … 1; nothing where kappa itself does not exist. With few vocal animals it is rough: read
// PABAK and the agreement beside it. Pure; any thread.
//
// Source: J. L. Fleiss, J. Cohen, B. S. Everitt, Psychol. Bull. 72 (1969) 323, written down from memory; a
// test checks it against drawn samples.
#pragma once

#include <optional>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::statistics {

std::optional<Interval> kappa_interval(const evaluation::Confusion& counts,
                                       double confidence = kUsualConfidence);

} // namespace quietpass::statistics
