#include "daemon/commands/clip_origin.h"

#include <algorithm>

#include "daemon/build_facts.h"
#include "daemon/clips/sound_cut.h"

namespace quietpass {

ClipOrigin clip_origin_of(const StationSettings& settings) {
    ClipOrigin origin;
    origin.station = settings.name;
    for (const MicrophoneSettings& microphone : settings.microphones) {
        if (origin.microphones.size() < kMostChannels) origin.microphones.push_back(microphone.name);
    }
    origin.software = std::string("quietpass ") + kVersion;
    origin.configuration = settings.sha256;
    return origin;
}

std::span<const double> clipped_rates(std::span<const double> rates_hz) {
    return rates_hz.first(std::min(rates_hz.size(), kMostChannels));
}

} // namespace quietpass
