#include "daemon/capture/capture_ring.h"

#include <algorithm>

namespace quietpass {

namespace {
// The smallest callback PortAudio is expected to make; only sizes the queue of marks.
constexpr std::size_t kSmallestCallback = 32;
} // namespace

CaptureRing::CaptureRing(int channels, std::size_t frames)
    : channels_(static_cast<std::size_t>(channels)),
      samples_(frames * channels_),
      marks_(frames / kSmallestCallback + 16) {}

void CaptureRing::push(const float* interleaved, std::size_t frames, std::int64_t stamp_ns,
                       bool overflowed) noexcept {
    last_push_ns_.store(stamp_ns, std::memory_order_release);
    if (overflowed) overflow_flags_.fetch_add(1, std::memory_order_relaxed);
    overflowed_ = overflowed_ || overflowed;
    std::size_t fitting = 0;
    if (interleaved != nullptr && marks_.write_available() > 0) {
        fitting = std::min(frames, samples_.write_available() / channels_);
    }
    if (fitting > 0) {
        // The samples go first: whoever sees the mark finds them.
        samples_.push(interleaved, fitting * channels_);
        marks_.push(Mark{stamp_ns, dropped_, static_cast<std::int64_t>(fitting), overflowed_});
        dropped_ = 0;
        overflowed_ = false;
    }
    dropped_ += static_cast<std::int64_t>(frames - fitting);
}

bool CaptureRing::pop(CapturedPacket& packet) {
    Mark mark{};
    if (!marks_.pop(mark)) return false;
    packet.stamp_ns = mark.stamp_ns;
    packet.dropped_before = mark.dropped_before;
    packet.overflowed = mark.overflowed;
    packet.frames = mark.frames;
    packet.samples.resize(static_cast<std::size_t>(mark.frames) * channels_);
    samples_.pop(packet.samples.data(), packet.samples.size());
    return true;
}

} // namespace quietpass
