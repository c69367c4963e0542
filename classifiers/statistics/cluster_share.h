// A share whose interval allows for lots that differ: animals of one lot are calm or excited together, so n
// animals of few lots tell less than n animals one by one.
//
// In: vocal of scored animals, lot by lot; empty lots are left out. Out: the share over all animals; the
// design effect (the variance between lots over that of independent animals; at least 1, because by-lot
// variances under it are chance); the animals that the same knowledge would take one by one; the interval.
// Nothing for fewer than two lots: one lot says nothing of how lots differ.
//
// Errors: std::invalid_argument for counts out of range. Pure; any thread.
//
// Source: the ratio estimator's variance, W. G. Cochran, Sampling Techniques (3rd ed. 1977), section 9A;
// effective counts n / design effect: J. N. K. Rao, A. J. Scott, Biometrics 48 (1992) 577, put into the
// Wilson interval; few lots are allowed for by Student's t with lots − 1 degrees of freedom, as E. L. Korn,
// B. I. Graubard, Surv. Methodol. 24 (1998) 193 do. Written down from memory; a test checks how often it
// covers the truth.
#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::statistics {

using evaluation::Rate;

struct ClusterShare {
    Rate all;
    std::int64_t lots = 0;
    double design_effect = 1.0;
    double effective_animals = 0.0;
    Interval interval;
};

std::optional<ClusterShare> cluster_share(std::span<const Rate> lots, double confidence = kUsualConfidence);

} // namespace quietpass::statistics
