// Who hears what a Station hears, beside it: each microphone's samples in order, as they come. Full scale ±1,
// mono; start_s is the station time of the first sample. Called on the thread that drives the Station, which
// must not be held up.
#pragma once

#include <cstddef>
#include <span>

namespace quietpass {

class SoundListener {
  public:
    virtual ~SoundListener() = default;
    virtual void on_sound(std::size_t microphone, double rate_hz, double start_s,
                          std::span<const float> samples) = 0;
    // Samples of this microphone were lost here.
    virtual void on_loss(std::size_t microphone) = 0;
};

} // namespace quietpass
