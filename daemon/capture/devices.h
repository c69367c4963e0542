// The input devices there are, and the choice of one by name.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

class PortAudioThread;

struct InputDevice {
    int number = -1; // PortAudio's; changes from one initialisation to the next
    std::string name;
    int channels = 0;
    double default_rate_hz = 0.0;
    double lowest_latency_s = 0.0;
};

// Asks PortAudio; throws Failure (exit 1) when it does not answer.
std::vector<InputDevice> input_devices(PortAudioThread& audio);

// The device of exactly this name, or the only one whose name contains it. "hw:CARD=ID[,DEV=n]" finds a sound
// card by its ALSA id, wherever it was plugged. Throws Failure (exit 2) naming the devices that are there.
const InputDevice& choose_device(const std::vector<InputDevice>& devices, const std::string& wished);

} // namespace quietpass
