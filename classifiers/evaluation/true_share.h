// The true share of vocal animals, estimated back from the share that was called vocal and from how well the
// ears hear: (share + specificity − 1) / (sensitivity + specificity − 1).
//
// In: called of scored animals; sensitivity and specificity as counts, measured on other animals than these.
// Out: fractions; the estimate is cut to 0 … 1, the interval allows for the counts behind all three. Nothing
// when one of them has no count, or when the ears tell nothing (sensitivity + specificity ≤ 1). An interval
// of 0 … 0 (or 1 … 1) means that these animals can't have been heard at those rates. Pure; any thread.
//
// Source: W. J. Rogan, B. Gladen, Am. J. Epidemiol. 107 (1978) 71; the interval: Z. Lang, J. Reiczigel, Prev.
// Vet. Med. 113 (2014) 13, written down from memory; a test checks how often it covers the truth.
#pragma once

#include <optional>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::evaluation {

struct HearingRates {
    Rate sensitivity; // vocal animals called vocal, of vocal animals
    Rate specificity; // quiet animals not called vocal, of quiet animals
};

struct TrueShare {
    double share = 0.0;
    Interval interval;
};

std::optional<TrueShare> true_share(const Rate& called, const HearingRates& rates,
                                    double confidence = kUsualConfidence);

} // namespace quietpass::evaluation
