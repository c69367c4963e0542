// The figures of a tuning as text for a person: what it hears, what it confuses, which terms carry it.
#pragma once

#include <string>

#include "classifiers/tuning/tuning.h"

namespace quietpass::tuning {

// "longest stretch of smooth pitch over 0.4 s".
std::string plain_words(const Condition& condition);

// Several lines, ending in a newline.
std::string report_of(const TuningResult& result, const TuningOptions& options);

// A line or two for the profile's `about`.
std::string about_of(const TuningResult& result);

} // namespace quietpass::tuning
