// What is asked of an input device when it is opened.
#pragma once

#include <string>

namespace quietpass {

struct MicrophoneWish {
    std::string device;     // see choose_device()
    double rate_hz = 0.0;   // 0: the device's default
    int channels = 1;       // the first so many of the device
    double latency_s = 0.3; // 0.2 … 0.5: PortAudio's own default, some 9 ms, gives false overflow flags
};

} // namespace quietpass
