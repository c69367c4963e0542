// The figures of a tuning as text for a person, 80 columns: what it hears at a plant's share of vocal
// passages, with the curve of precision and recall and how far its scores can be trusted; what it confuses;
// which terms carry it. UTF-8, for a terminal or a file. Pure.
#pragma once

#include <string>

#include "classifiers/plain_words.h"
#include "classifiers/tuning/tuning.h"

namespace quietpass::tuning {

// Several lines, ending in a newline.
std::string report_of(const TuningResult& result, const TuningOptions& options);

// A line or two for the profile's `about`.
std::string about_of(const TuningResult& result);

} // namespace quietpass::tuning
