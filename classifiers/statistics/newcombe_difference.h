// The interval of a difference of two shares, from the Wilson intervals of both.
//
// In: k of n for each group. Out: first − second as a fraction, −1 … 1, with its interval; nothing where a
// group is empty. Errors: std::invalid_argument, as wilson_interval. Pure; any thread.
//
// Source: method 10 of R. G. Newcombe, Stat. Med. 17 (1998) 873.
#pragma once

#include <optional>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::statistics {

using evaluation::Rate;

struct Difference {
    double value = 0.0;
    Interval interval;
};

std::optional<Difference> newcombe_difference(const Rate& first, const Rate& second,
                                              double confidence = kUsualConfidence);

} // namespace quietpass::statistics
