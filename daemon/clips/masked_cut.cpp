#include "daemon/clips/masked_cut.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

SoundCut with_speech_masked(const SoundCut& cut, std::span<const CallSpan> calls) {
    std::vector<CallSpan> within;
    for (const CallSpan& call : calls)
        within.push_back({call.start_s - cut.start_s, call.end_s - cut.start_s});
    SoundCut masked = cut;
    for (SoundCut::Channel& channel : masked.channels) {
        const std::vector<float> before = channel.samples;
        const auto lost = [](float sample) { return std::isnan(sample); };
        std::replace_if(channel.samples.begin(), channel.samples.end(), lost, 0.0F);
        channel.samples = with_speech_masked(channel.samples, channel.rate_hz, within);
        for (std::size_t i = 0; i < before.size(); ++i) {
            if (lost(before[i])) channel.samples[i] = before[i];
        }
    }
    return masked;
}

} // namespace quietpass
