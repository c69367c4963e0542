// An interval for F1. F1 is no proportion, but F* = TP / (TP + FP + FN) is one, and F1 = 2·F* / (1 + F*)
// rises with it; so the ends of F*'s Wilson interval are the ends of F1's. It says something at F1 = 0 and 1
// too, where resampling says nothing. Like every binomial interval it takes the judged things as independent.
//
// Out: fractions 0 … 1; nothing when there was no call and none was called. Pure; any thread.
//
// Source: F*: D. J. Hand, P. Christen, N. Kirielle, Mach. Learn. 110 (2021) 451. The interval by
// transformation is computed from that definition.
#pragma once

#include <optional>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"

namespace quietpass::evaluation {

std::optional<Interval> f1_interval(const Confusion& counts, double confidence = kUsualConfidence);

} // namespace quietpass::evaluation
