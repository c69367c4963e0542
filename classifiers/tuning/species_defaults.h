// What a species' profile starts from before anything is trained: how its sounds are cut out, the hard
// ranges, and the rules that name the kinds. Values without a source are from looking at recordings.
#pragma once

#include <vector>

#include "classifiers/profile.h"

namespace quietpass::tuning {

// kCattle or kPig.
SegmentSettings segments_for(Species species);

// Share of the quiet passages of simulated shifts that may be judged vocal. Their noises come oftener and are
// harder than a plant's: on scenario shifts (testdata/scenarios/evaluation), with recordings not trained on,
// this share came out as 0 to 1.1 %.
double false_alarms_for(Species species);

// The kind of calls that count, before the rules.
CallKind counted_kind(Species species);

std::vector<Gate> gates_for(Species species);
std::vector<KindRule> kind_rules_for(Species species);

} // namespace quietpass::tuning
