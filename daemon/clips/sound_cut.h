// A stretch of the station's sound, cut out of memory: one channel a microphone, all in step. Samples are
// full scale ±1; NaN where a sample was lost, not yet heard or not in memory any more. Plain value.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace quietpass {

struct SoundCut {
    struct Channel {
        double rate_hz = 0.0;       // its own
        std::vector<float> samples; // from start_s on; as long as the cut at its own rate
    };
    double start_s = 0.0; // station time of frame 0, on a sample of the first microphone
    double rate_hz = 0.0; // of the first microphone, and so of the clip
    std::size_t frames = 0;
    std::vector<Channel> channels;

    double length_s() const { return static_cast<double>(frames) / rate_hz; }
    std::size_t bytes() const {
        std::size_t bytes = 0;
        for (const Channel& channel : channels) bytes += channel.samples.size() * sizeof(float);
        return bytes;
    }
};

} // namespace quietpass
