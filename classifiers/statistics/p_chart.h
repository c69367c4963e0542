// The limits of a run chart of shares: where a group of n animals should lie while nothing changes.
//
// In: the mean share 0 … 1, n > 0, how many standard deviations (three by custom). Out: fractions, cut to
// 0 … 1. Errors: std::invalid_argument. Pure; any thread.
//
// Source: W. A. Shewhart, Economic Control of Quality (1931); as in the NIST/SEMATECH e-Handbook, 6.3.3.2.
#pragma once

#include <cstdint>

#include "classifiers/evaluation/wilson.h"

namespace quietpass::statistics {

Interval p_chart_limits(double mean_share, std::int64_t n, double deviations = 3.0);

} // namespace quietpass::statistics
