// Where samples come from: one per device or file, driven by the processing thread.
//
// next() gives, in order and without holes, stretches of samples, losses and finally the end. The index
// counts samples of one channel, lost ones included, so index / sample_rate_hz() is the time on the device's
// own clock. Samples are finite, full scale ±1. Threads: one thread at a time calls next().
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "daemon/capture/gap.h"

namespace quietpass {

class ClockFit;

struct Stretch {
    enum class Kind { kSamples, kLoss, kEnd };
    Kind kind = Kind::kEnd;
    std::int64_t first_index = 0;        // of the first sample here, heard or lost
    std::int64_t count = 0;              // samples of one channel
    GapCause cause = GapCause::kOverrun; // kLoss only
    std::vector<float> samples;          // kSamples only: channel after channel, [channels][count]

    std::span<const float> channel(int number) const {
        const auto length = static_cast<std::size_t>(count);
        return std::span(samples).subspan(static_cast<std::size_t>(number) * length, length);
    }
};

class AudioSource {
  public:
    virtual ~AudioSource() = default;
    virtual int channels() const = 0;
    virtual double sample_rate_hz() const = 0;
    // Waits for the next stretch until the Clock's monotonic time `deadline_ns`; false: nothing came by then.
    // After the end it gives the end again. `stretch` is reused: its memory is kept from call to call.
    // A file that turns out to be unreadable in its middle throws Failure; a device never throws here.
    virtual bool next(Stretch& stretch, std::int64_t deadline_ns) = 0;
    // Sample index ↔ monotonic time, for the thread that calls next(); null for a file, which has no clock.
    virtual const ClockFit* clock_fit() const { return nullptr; }
    // Why the last attempt to open it again failed, in one line; empty where none did. Any thread.
    virtual std::string trouble() const { return {}; }
};

} // namespace quietpass
