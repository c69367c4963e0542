// Turns the packets of a capture ring into stretches without holes: finds what was lost, how much and where.
//
// - Told by the ring (it was full): exact.
// - Told by PortAudio's overflow flag, or after a stream was opened again: somewhere before that packet. The
// size
//   comes from the clock: how late the packets after it stay, against the fit of index to time.
// - Told by nobody: packets come late and stay late. When one comes more than 50 ms late, it and those after
// it are
//   held back until one is in time again (a burst: nothing was lost), or the lateness has been steady for
//   five seconds, of samples and of the clock, and at least 16 packets. Then the least lateness is what is
//   missing. Those of the held packets that came later still, the burst itself, are counted as lost too:
//   where in the burst the hole lies can't be known, and a call at a wrong time is worse than none.
// - What a device that comes back brings of the time that was told as lost stays lost.
// Losses under 50 ms that nobody tells are not found; they shift the fit.
//
// Samples that are not finite numbers are a loss (overrun) as well.
//
// Units: frames are samples of one channel. Pure: no clock, no thread. One thread uses it. Never throws but
// bad_alloc.
#pragma once

#include <cstdint>
#include <deque>

#include "daemon/capture/audio_source.h"
#include "daemon/capture/capture_ring.h"
#include "daemon/capture/clock_fit.h"

namespace quietpass {

class LossFinder {
  public:
    LossFinder(double rate_hz, int channels);

    void take(CapturedPacket&& packet);
    // The device is gone: what is held back is let go; the next packet comes from a new stream.
    void stream_lost();
    // No device yet: everything up to shortly before this time was lost (unplugged).
    void lost_until(std::int64_t monotonic_ns);

    // The next stretch that is decided; false: none yet.
    bool next(Stretch& stretch);

    const ClockFit& fit() const { return fit_; }
    std::int64_t heard() const { return heard_; }
    std::int64_t lost() const { return lost_; }

  private:
    enum class Doubt { kNone, kLate, kFlagged, kReopened };

    double lateness_of(const CapturedPacket& packet, std::int64_t frames_before) const;
    void hold(CapturedPacket&& packet, Doubt doubt);
    void settle_if_clear();
    void release_held();
    void pass(const CapturedPacket& packet);
    void emit_samples(const CapturedPacket& packet, std::int64_t from, std::int64_t count);
    void emit_loss(std::int64_t count, GapCause cause);

    double rate_hz_;
    std::size_t channels_;
    ClockFit fit_;
    std::int64_t index_ = 0; // frames decided, heard or lost
    std::int64_t heard_ = 0;
    std::int64_t lost_ = 0;
    Doubt doubt_ = Doubt::kNone;
    bool reopened_ = false; // the next packet is the first of a new stream
    std::deque<CapturedPacket> held_;
    std::int64_t held_frames_ = 0; // those dropped between them included
    double least_late_s_ = 0.0;    // of the held
    // Since when it has not become less by much: what waited in some buffer may still be coming.
    double steady_late_s_ = 0.0;
    std::int64_t steady_frames_ = 0; // of held_frames_, before it
    std::size_t steady_packets_ = 0;
    std::int64_t steady_stamp_ns_ = 0;
    std::deque<Stretch> ready_;
};

} // namespace quietpass
