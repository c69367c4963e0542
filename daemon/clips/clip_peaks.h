// A clip's waveform for the eye: the lowest and the highest sample of each of `columns` equal parts of a
// stretch. [columns] each, of full scale 1. Errors: as ClipStretch. One thread.
#pragma once

#include <cstdint>
#include <vector>

#include "daemon/clips/clip_stretch.h"

namespace quietpass {

struct ClipPeaks {
    std::vector<float> lowest;
    std::vector<float> highest;
};

// [from, to) within the clip, at least a frame a column.
ClipPeaks clip_peaks(ClipStretch& clip, int channel, std::int64_t from, std::int64_t to, std::size_t columns);

} // namespace quietpass
