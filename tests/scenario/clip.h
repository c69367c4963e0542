// A recording in memory, mono, at its own rate, with the parts in which something sounds.
//
// Active parts: where the level in the band (20 ms RMS) stands within 18 dB of its highest and 6 dB over the
// recording's quiet tenth; parts closer than 0.25 s are one. Parts known beforehand, of 0.25 s or more, are
// taken as they are. No part is longer than 6 s.
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
    std::vector<ClipPart> parts; // never empty
};

// known: empty where nobody has said; then low_hz … high_hz is the band in which activity is looked for.
// Throws Failure (exit 1) for a file that can't be read.
Clip load_clip(const std::string& path, const std::string& recording, const std::vector<ClipPart>& known,
               double low_hz, double high_hz);

// The part at another rate, with faded ends (10 ms).
std::vector<float> part_at_rate(const Clip& clip, const ClipPart& part, int sample_rate_hz);

} // namespace quietpass::scenario
