// Fisher's exact test: how often chance alone would part the same vocal animals among two groups at least as
// unevenly as was seen.
//
// In: k of n for each group, 0 <= k <= n. Out: p, 0 … 1; 1 where a group is empty or nobody (or everybody) is
// vocal. Two-sided: the sum over all tables that are no more likely than the one seen; ties within 1e-7 count
// as equal, so that rounding decides nothing.
//
// Errors: std::invalid_argument for counts out of range. Pure; any thread.
//
// Source: R. A. Fisher, The Design of Experiments (1935), chapter II; the two-sided rule: J. O. Irwin, Metron
// 12 (1935) 83. Boost.Math's hypergeometric distribution.
#pragma once

#include "classifiers/evaluation/confusion.h"

namespace quietpass::statistics {

using evaluation::Rate;

double fisher_exact(const Rate& first, const Rate& second);

// One-sided: that `first` has so many of the vocal ones, or more.
double fisher_exact_more(const Rate& first, const Rate& second);

} // namespace quietpass::statistics
