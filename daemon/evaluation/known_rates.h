// How well the ears hear, from elsewhere: an earlier evaluation.json, or two counts in words,
// "K/N,K/N" (vocal passages heard of all vocal ones, quiet ones left alone of all quiet ones).
//
// Throws Failure (exit 2) for what is neither.
#pragma once

#include <string>

#include "classifiers/evaluation/share_rows.h"

namespace quietpass {

evaluation::KnownRates read_known_rates(const std::string& text);

} // namespace quietpass
