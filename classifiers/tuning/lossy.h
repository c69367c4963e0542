// What sharing a recording as a small file does to it: lossy coding as of MPEG audio at low rates, in its
// effects, not its format. Bins far under the loudest of their band are lost, the others rounded, the top cut
// off.
//
// Samples at kClipRateHz, length kept. Bands are a third of an octave wide or wider (ISO/IEC 11172-3 masks by
// critical bands; depths and steps here are ours).
#pragma once

#include <vector>

#include "classifiers/tuning/random.h"

namespace quietpass::tuning {

struct CodingLoss {
    double mask_db = 20.0;  // bins this far under their band's loudest are lost, > 0
    double step_db = 2.0;   // what is kept is rounded to whole steps of this, > 0
    double top_hz = 6000.0; // nothing is kept over it
};

CodingLoss any_coding_loss(Random& random);

void coded_with_loss(std::vector<float>& samples, const CodingLoss& loss);

} // namespace quietpass::tuning
