// Finds where in a clip something sounds, by energy: frames above a line between the clip's own floor and
// peak, gaps under 0.2 s closed. For clips that hold one kind of sound and are named as a whole; where a clip
// also holds ambience that is as loud, the spans have to be given.
#pragma once

#include <span>
#include <vector>

#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {

// samples: at kClipRateHz. low_hz, high_hz: the band whose energy counts. Spans shorter than 0.15 s are left
// out.
std::vector<Span> active_spans(std::span<const float> samples, double low_hz, double high_hz,
                               SpanLabel label);

} // namespace quietpass::tuning
