#include "daemon/capture/devices.h"

#include <alsa/asoundlib.h>

#include <algorithm>
#include <chrono>

#include "daemon/capture/portaudio_stream.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::chrono::seconds kListPatience{10};

// "hw:CARD=ID,DEV=n" → "(hw:C,n)", which is how PortAudio's names of sound cards end; others unchanged.
// PortAudio numbers cards, and numbers change with the plug.
std::string by_card_number(const std::string& wished) {
    const std::string start = "hw:CARD=";
    if (wished.rfind(start, 0) != 0) return wished;
    const std::size_t comma = wished.find(',');
    const std::string id =
        wished.substr(start.size(), comma == std::string::npos ? comma : comma - start.size());
    std::string device = "0";
    if (comma != std::string::npos) {
        const std::string rest = wished.substr(comma + 1);
        device = rest.rfind("DEV=", 0) == 0 ? rest.substr(4) : rest;
    }
    const int card = snd_card_get_index(id.c_str());
    return card < 0 ? wished : "(hw:" + std::to_string(card) + "," + device + ")";
}

std::string listed(const std::vector<const InputDevice*>& devices) {
    std::string text;
    for (const InputDevice* device : devices) {
        text += (text.empty() ? "\"" : ", \"") + device->name + "\"";
    }
    return text;
}

} // namespace

std::vector<InputDevice> input_devices(PortAudioThread& audio) {
    auto devices =
        audio.run<std::vector<InputDevice>>([] { return PortAudioStream::list_devices(); }, kListPatience);
    if (!devices) {
        throw Failure(kExitFailure,
                      "sound system: PortAudio does not answer: restart the program, then the sound server");
    }
    return *std::move(devices);
}

const InputDevice& choose_device(const std::vector<InputDevice>& devices, const std::string& wished) {
    std::vector<const InputDevice*> all;
    std::vector<const InputDevice*> matching;
    const std::string part = by_card_number(wished);
    for (const InputDevice& device : devices) {
        if (device.name == wished) return device;
        all.push_back(&device);
        if (!wished.empty() && device.name.find(part) != std::string::npos) matching.push_back(&device);
    }
    if (matching.size() == 1) return *matching.front();
    if (matching.size() > 1) {
        throw Failure(kExitUsage, "microphone device \"" + wished + "\" fits more than one: " +
                                      listed(matching) + ": give more of the name");
    }
    if (all.empty()) {
        throw Failure(kExitUsage,
                      "microphone device \"" + wished +
                          "\" isn't there, nor any other input: plug a microphone in and see `arecord -l`");
    }
    throw Failure(kExitUsage, "microphone device \"" + wished + "\" isn't there: use one of " + listed(all));
}

} // namespace quietpass
