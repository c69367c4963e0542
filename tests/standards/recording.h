// A recording of testdata/recordings as the analysis sees it. Tests only.
#pragma once

#include <string>
#include <vector>

namespace quietpass::golden {

// Mono, at 16 kHz: resampled (dsp/resampler.h) where it was recorded at another rate. Fails the test that
// asked when the file can't be read.
std::vector<float> read_recording(const std::string& name);

} // namespace quietpass::golden
