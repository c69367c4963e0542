#include "daemon/station/live_microphones.h"

#include <string>

#include "daemon/failure.h"

namespace quietpass {

LiveMicrophones open_microphones(const StationSettings& settings, PortAudioThread& audio,
                                 const Clock& clock) {
    LiveMicrophones sources;
    for (std::size_t i = 0; i < settings.microphones.size();) {
        const std::string& device = settings.microphones[i].device;
        if (device.empty()) {
            throw Failure(kExitUsage, settings.file + ": microphone " + settings.microphones[i].name +
                                          " has no `device`; `quietpass devices` lists those there are");
        }
        std::size_t end = i;
        while (end < settings.microphones.size() && settings.microphones[end].device == device) ++end;
        sources.push_back(std::make_unique<PortAudioSource>(
            audio, clock, MicrophoneWish{.device = device, .channels = static_cast<int>(end - i)}));
        i = end;
    }
    return sources;
}

} // namespace quietpass
