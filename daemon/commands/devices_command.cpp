#include "daemon/commands/devices_command.h"

#include <cstdio>

#include "daemon/capture/devices.h"
#include "daemon/capture/portaudio_thread.h"

namespace quietpass {

void list_devices() {
    PortAudioThread audio;
    const auto devices = input_devices(audio);
    if (devices.empty()) {
        std::puts(
            "No audio input here. Plug a microphone in, and check that this user may use sound devices.");
        return;
    }
    std::printf("%-8s  %8s  %s\n", "channels", "rate Hz",
                "name, as a station file's `device` (a unique part of it is enough)");
    for (const InputDevice& device : devices) {
        std::printf("%8d  %8.0f  %s\n", device.channels, device.default_rate_hz, device.name.c_str());
    }
}

} // namespace quietpass
