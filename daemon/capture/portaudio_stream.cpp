#include "daemon/capture/portaudio_stream.h"

#include <portaudio.h>

#include <cstdio>

#include "daemon/failure.h"

namespace quietpass {

namespace {

// Longer than any pause of the processing thread that still lets it catch up; 3.8 MB at 48 kHz mono.
constexpr double kRingS = 20.0;

int streams_open = 0; // on the PortAudioThread only

std::string what_failed(PaError error) {
    std::string text = Pa_GetErrorText(error);
    if (error == paUnanticipatedHostError) {
        const PaHostErrorInfo* host = Pa_GetLastHostErrorInfo();
        if (host != nullptr && host->errorText != nullptr && *host->errorText != '\0') {
            text += std::string(": ") + host->errorText;
        }
    }
    return text;
}

std::string in_hz(double rate_hz) {
    char text[32];
    std::snprintf(text, sizeof text, "%.6g Hz", rate_hz);
    return text;
}

} // namespace

struct PortAudioStream::Callback {
    std::shared_ptr<CaptureRing> ring;
    const Clock& clock;

    static int call(const void* input, void*, unsigned long frames, const PaStreamCallbackTimeInfo*,
                    PaStreamCallbackFlags flags, void* self) {
        const auto* callback = static_cast<const Callback*>(self);
        callback->ring->push(static_cast<const float*>(input), frames, callback->clock.monotonic_ns(),
                             (flags & paInputOverflow) != 0);
        return paContinue;
    }
};

PortAudioStream::PortAudioStream(const MicrophoneWish& wish, const Clock& clock)
    : device_(choose_device(list_devices(), wish.device)),
      rate_hz_(wish.rate_hz > 0.0 ? wish.rate_hz : device_.default_rate_hz) {
    if (wish.channels > device_.channels) {
        throw Failure(kExitUsage, "microphone \"" + device_.name + "\" has " +
                                      std::to_string(device_.channels) + " channels and " +
                                      std::to_string(wish.channels) +
                                      " are asked for: name fewer microphones on it");
    }
    PaStreamParameters parameters{};
    parameters.device = device_.number;
    parameters.channelCount = wish.channels;
    parameters.sampleFormat = paFloat32;
    parameters.suggestedLatency = wish.latency_s;
    callback_.reset(new Callback{
        std::make_shared<CaptureRing>(wish.channels, static_cast<std::size_t>(rate_hz_ * kRingS)), clock});
    PaError error = Pa_OpenStream(&stream_, &parameters, nullptr, rate_hz_, paFramesPerBufferUnspecified,
                                  paClipOff | paDitherOff, Callback::call, callback_.get());
    if (error == paInvalidSampleRate) {
        throw Failure(kExitUsage, "microphone \"" + device_.name + "\" refuses " + in_hz(rate_hz_) +
                                      ": use its own rate, " + in_hz(device_.default_rate_hz) +
                                      ", or leave the rate out");
    }
    if (error == paNoError) {
        ++streams_open;
        error = Pa_StartStream(stream_);
        if (error != paNoError) {
            Pa_CloseStream(stream_);
            --streams_open;
        }
    }
    if (error != paNoError) {
        throw Failure(kExitFailure, "microphone \"" + device_.name + "\" can't be opened (" +
                                        what_failed(error) +
                                        "): see that it is plugged in and that no other program uses it");
    }
}

PortAudioStream::~PortAudioStream() {
    Pa_AbortStream(stream_);
    if (Pa_CloseStream(stream_) != paNoError) callback_.release(); // NOLINT: the callback may still run
    --streams_open;
}

int PortAudioStream::open_streams() {
    return streams_open;
}

const std::shared_ptr<CaptureRing>& PortAudioStream::ring() const {
    return callback_->ring;
}

std::vector<InputDevice> PortAudioStream::list_devices() {
    std::vector<InputDevice> devices;
    for (PaDeviceIndex number = 0; number < Pa_GetDeviceCount(); ++number) {
        const PaDeviceInfo* info = Pa_GetDeviceInfo(number);
        if (info == nullptr || info->maxInputChannels <= 0) continue;
        devices.push_back({number, info->name, info->maxInputChannels, info->defaultSampleRate,
                           info->defaultLowInputLatency});
    }
    return devices;
}

} // namespace quietpass
