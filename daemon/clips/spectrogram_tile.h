// A piece of a clip's spectrogram as a picture without axes, so that pieces fit beside one another: an 8-bit
// grey PNG, 0 for low_db and below, 255 for high_db and above, linear between. The same clip and wish give
// the same bytes.
//
// Seconds are from the clip's first frame; beyond the clip is silence. Errors: Failure (exit 1) for a file
// that can't be read or a picture that can't be made. One thread a clip.
#pragma once

#include <string>

#include "daemon/clips/clip_stretch.h"

namespace quietpass {

struct TileWish {
    int channel = 0;
    double from_s = 0.0;
    double to_s = 0.0;
    int width = 0;
    int height = 0;
    double highest_hz = 0.0; // of the upper edge; at most half the rate
    double low_db = 0.0;     // re a sine at full scale
    double high_db = 0.0;
};

std::string spectrogram_tile(ClipStretch& clip, const TileWish& wish);

} // namespace quietpass
