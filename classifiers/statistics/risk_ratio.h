// How many times as often the animals of one group were vocal as those of another, with its interval.
//
// In: k of n for each group. Out: the ratio of the shares and its score interval, ends 0 … infinity; nothing
// where a group is empty or nobody was vocal in either. The ratio itself is infinite where only the second
// group was silent throughout; the interval still says how low it may be. An interval that holds 1 shows
// nothing. Errors: std::invalid_argument for counts out of range. Pure; any thread.
//
// Source: P. A. R. Koopman, Biometrics 40 (1984) 513; the shares most likely at a given ratio: O. Miettinen,
// M. Nurminen, Stat. Med. 4 (1985) 213.
#pragma once

#include <optional>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::statistics {

using evaluation::Rate;

struct RiskRatio {
    double value = 1.0;
    Interval interval;
};

std::optional<RiskRatio> risk_ratio(const Rate& group, const Rate& rest,
                                    double confidence = kUsualConfidence);

} // namespace quietpass::statistics
