// The last seconds of all microphones' sound, in memory: what clips are cut from. What no clip takes is
// overwritten and gone.
//
// Samples are full scale ±1 and finite, as the Station hears them. Allocated in the constructor, about
// 4 bytes · rate · kept_s a microphone; hear() and lose() copy and never allocate. Times are station seconds;
// microphones that do not share the first one's clock are placed by whole samples, so they are in step to
// half a sample and to the drift of the clocks over one cut. Not thread-safe, but hear() and lose() of
// different microphones may run on different threads.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "daemon/clips/sound_cut.h"

namespace quietpass {

class SoundRing {
  public:
    SoundRing(std::span<const double> rates_hz, double kept_s);

    void hear(std::size_t microphone, std::span<const float> samples) noexcept;
    // `count` samples of this microphone were lost here.
    void lose(std::size_t microphone, std::int64_t count) noexcept;
    // As Station::place_microphone.
    void place(std::size_t microphone, double offset_s) noexcept { tracks_[microphone].offset_s = offset_s; }

    std::size_t microphones() const { return tracks_.size(); }
    // Up to where every microphone was heard; one that lags by more than kWait_s is not waited for.
    double heard_until_s() const noexcept;

    // What is there of [start_s, end_s): cut to what the first microphone has in memory. Nothing when that is
    // nothing.
    std::optional<SoundCut> cut(double start_s, double end_s) const;

    static constexpr double kWait_s = 5.0;

  private:
    struct Track {
        double rate_hz = 0.0;
        double offset_s = 0.0; // station time = own time + offset_s
        std::int64_t next = 0; // own index of the next sample
        std::vector<float> samples;

        double heard_until_s() const noexcept { return static_cast<double>(next) / rate_hz + offset_s; }
    };

    static void copy(const Track& track, std::int64_t first, std::vector<float>& out);

    std::vector<Track> tracks_;
};

} // namespace quietpass
