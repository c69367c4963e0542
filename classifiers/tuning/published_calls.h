// Calls that no recording of a corpus may hold, made after what is published of them, so that a profile
// doesn't take them for noise.
//
// Bulls: bugles of 801 … 1,125 Hz, mean 958 Hz, and bellows of 113.6 Hz at most, both voices together in some
// (published means); cattle with the mouth closed: low calls near 80 Hz, 72 … 95 Hz here. Their courses,
// colours and lengths are made up, widely. Samples at kClipRateHz; levels are arbitrary.
#pragma once

#include <vector>

#include "classifiers/tuning/random.h"

namespace quietpass::tuning {

std::vector<float> published_cattle_call(Random& random);

} // namespace quietpass::tuning
