// One open input stream of PortAudio, from its opening to its end. All on the PortAudioThread, which is where
// it must be made and destroyed; the callback runs on PortAudio's own thread and touches the ring and the
// clock, no more.
//
// The constructor throws Failure as PortAudioSource says.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/capture/capture_ring.h"
#include "daemon/capture/devices.h"
#include "daemon/capture/microphone_wish.h"
#include "daemon/clock.h"

namespace quietpass {

class PortAudioStream {
  public:
    PortAudioStream(const MicrophoneWish& wish, const Clock& clock);
    ~PortAudioStream();
    PortAudioStream(const PortAudioStream&) = delete;
    PortAudioStream& operator=(const PortAudioStream&) = delete;

    static std::vector<InputDevice> list_devices();
    // How many are open in this process.
    static int open_streams();

    const std::string& device_name() const { return device_.name; }
    double rate_hz() const { return rate_hz_; }
    const std::shared_ptr<CaptureRing>& ring() const;

  private:
    // What the callback uses. It stays for ever if PortAudio does not give the callback back.
    struct Callback;

    InputDevice device_;
    double rate_hz_;
    std::unique_ptr<Callback> callback_;
    void* stream_ = nullptr;
};

} // namespace quietpass
