// A microphone as a source: a PortAudio input device, kept open whatever happens to it.
//
// - The audio callback only fills a CaptureRing. next() empties it through a LossFinder, which gives lost
// samples
//   their place and size.
// - No callback for a second: the device counts as unplugged. A thread of its own closes the stream and opens
// it again,
//   waiting 0.5 s … 3 s between attempts, for ever. Meanwhile next() gives losses sized from the clock, so
//   time goes on. While another microphone's stream is open, PortAudio is not initialised again (that would
//   close it): the device is then looked for under the place it had.
// - Samples that are not finite numbers count as lost (overrun): they are never heard as silence.
//
// The constructor opens the device or throws Failure: exit 2 for a device that isn't there (listing those
// that are), has too few channels or refuses the rate, exit 1 when it can't be opened. next() never throws.
// Threads: next() and clock_fit() from one thread; health() from any. The clock and the PortAudioThread
// outlive it.
#pragma once

#include <memory>
#include <string>

#include "daemon/capture/audio_source.h"
#include "daemon/capture/microphone_wish.h"
#include "daemon/clock.h"

namespace quietpass {

class PortAudioThread;

class PortAudioSource final : public AudioSource {
  public:
    struct Health {
        bool connected = true;
        bool hanging = false;      // a PortAudio call did not come back: only a restart of the process helps
        std::int64_t reopened = 0; // times
        std::int64_t overflow_flags = 0; // callbacks that PortAudio marked
        std::int64_t samples_lost = 0;   // of one channel, any cause
        std::int64_t samples_heard = 0;  // for the service manager's watchdog
        double drift_ppm = 0.0;          // ClockFit's
        double fit_error_s = 0.0;
        std::string last_failure; // why the last attempt to open failed; empty: it didn't
    };

    PortAudioSource(PortAudioThread& audio, const Clock& clock, const MicrophoneWish& wish);
    ~PortAudioSource() override;

    int channels() const override;
    double sample_rate_hz() const override;
    bool next(Stretch& stretch, std::int64_t deadline_ns) override;
    const ClockFit* clock_fit() const override;
    std::string trouble() const override { return health().last_failure; }

    const std::string& device_name() const;
    Health health() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
