// Levels of sound over time and frequency, as a picture's points.
//
// samples: full scale 1; silence is before the first and after the last. Column x is the time from
// `from + x·(to − from)/width` to the next one's, in samples; row 0 is the highest frequency, a row is
// highest_hz/height high. A point is the loudest of what lies in it, so that nothing short or narrow is left
// out of a coarse picture: frames of some 43 ms, half overlapping, or one in the column's middle. Out:
// [height][width] dB re the level of a sine at full scale, −120 and up. The same samples give the same
// levels. Any thread.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace quietpass {

struct SpectrogramGrid {
    std::size_t width = 0;
    std::size_t height = 0;
    double from = 0.0;
    double to = 0.0;
    double highest_hz = 8000.0; // at most half the rate
};

// Samples of a frame at this rate, a power of two: so many more a picture needs around its stretch.
std::size_t spectrogram_frame(double rate_hz);

std::vector<float> spectrogram_levels(std::span<const float> samples, double rate_hz,
                                      const SpectrogramGrid& grid);

} // namespace quietpass
