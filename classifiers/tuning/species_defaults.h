// What a species' profile starts from before anything is trained: how its sounds are cut out, the hard
// ranges, and the rules that name the kinds. Values without a source are from looking at recordings.
#pragma once

#include <vector>

#include "classifiers/profile.h"

namespace quietpass::tuning {

// kCattle or kPig.
SegmentSettings segments_for(Species species);

// The kind of calls that count, before the rules.
CallKind counted_kind(Species species);

std::vector<Gate> gates_for(Species species);
std::vector<KindRule> kind_rules_for(Species species);

} // namespace quietpass::tuning
