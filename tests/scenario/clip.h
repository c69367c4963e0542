// A recording in memory, mono, at its own rate, with the parts in which something sounds.
//
// Active parts: where the level in the band (20 ms RMS) stands within 18 dB of its highest and 6 dB over the recording's
// quiet tenth; parts closer than 0.25 s are one. A manifest note `squeal_segs=a-b,c-d` (seconds) overrides that.
#pragma once

#include <string>
#include <vector>

namespace quietpass::scenario {

struct ClipPart {
    double start_s = 0.0;
    double end_s = 0.0;
    double length_s() const { return end_s - start_s; }
};

struct Clip {
    std::string recording;
    std::string path;
    int sample_rate_hz = 0;
    std::vector<float> samples;
    std::vector<ClipPart> parts;  // never empty
};

// Throws Failure (exit 1) for a file that can't be read. low_hz … high_hz: the band in which activity is looked for.
Clip load_clip(const std::string& path, const std::string& recording, const std::string& note, double low_hz,
               double high_hz);

// The part at another rate, with faded ends (10 ms).
std::vector<float> part_at_rate(const Clip& clip, const ClipPart& part, int sample_rate_hz);

}  // namespace quietpass::scenario
