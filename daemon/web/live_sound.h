// What the live page shows of sound as it is heard: of each microphone its level each second, and five
// columns a second of the running spectrogram. Made only while somebody listens, and only of what goes
// through the daemon's loop anyway; the audio callback knows nothing of it.
//
// in: what the Station hears. out: LiveLevel and LiveSpectrum by the feed, which never waits. Costs two
// transforms of some 85 ms of sound a column: under a millisecond a second and microphone (tests/bench/).
//
// On the thread that drives the Station. Allocates when a microphone is first heard.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "daemon/sound_listener.h"
#include "daemon/web/live_feed.h"

namespace quietpass {

class LiveSound final : public SoundListener {
  public:
    explicit LiveSound(LiveFeed& feed);
    ~LiveSound() override;

    void on_sound(std::size_t microphone, double rate_hz, double start_s,
                  std::span<const float> samples) override;
    void on_loss(std::size_t microphone) override;

  private:
    struct Track;
    LiveFeed& feed_;
    std::vector<std::unique_ptr<Track>> tracks_; // by microphone
};

} // namespace quietpass
