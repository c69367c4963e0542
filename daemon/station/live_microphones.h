// The station's microphones as PortAudio sources, in the station file's order: those in a row on one device
// are its channels. Throws Failure: exit 2 for a microphone without a device, and as PortAudioSource.
#pragma once

#include <memory>
#include <vector>

#include "daemon/capture/portaudio_source.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/clock.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

using LiveMicrophones = std::vector<std::unique_ptr<PortAudioSource>>;

LiveMicrophones open_microphones(const StationSettings& settings, PortAudioThread& audio, const Clock& clock);

} // namespace quietpass
