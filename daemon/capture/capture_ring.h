// What the audio callback fills and the processing thread empties: samples, and a packet for each callback
// that says how many there are, when they came and what was lost before them. Order is kept because losses
// travel in-band.
//
// push() is the audio callback's: no lock, no allocation, no log, never waits. Samples that don't fit are
// counted and told by the next packet that fits. pop() is the processing thread's. last_push_ns() and the
// counters: any thread.
#pragma once

#include <atomic>
#include <boost/lockfree/spsc_queue.hpp>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace quietpass {

// One callback's worth. Frames are samples of one channel.
struct CapturedPacket {
    std::int64_t stamp_ns = 0;       // Clock::monotonic_ns() in the callback
    std::int64_t dropped_before = 0; // frames that did not fit in the ring, before these
    bool overflowed = false;         // PortAudio says that input was lost before these
    std::int64_t frames = 0;
    std::vector<float> samples; // interleaved, [frames][channels]
};

class CaptureRing {
  public:
    CaptureRing(int channels, std::size_t frames);

    // interleaved: null when PortAudio had nothing to give for these frames, which then count as dropped.
    void push(const float* interleaved, std::size_t frames, std::int64_t stamp_ns, bool overflowed) noexcept;
    bool pop(CapturedPacket& packet);

    // 0 before the first push.
    std::int64_t last_push_ns() const noexcept { return last_push_ns_.load(std::memory_order_acquire); }
    std::int64_t overflow_flags() const noexcept { return overflow_flags_.load(std::memory_order_relaxed); }

  private:
    struct Mark {
        std::int64_t stamp_ns;
        std::int64_t dropped_before;
        std::int64_t frames;
        bool overflowed;
    };

    std::size_t channels_;
    boost::lockfree::spsc_queue<float> samples_;
    boost::lockfree::spsc_queue<Mark> marks_;
    std::int64_t dropped_ = 0; // callback only: not told yet
    bool overflowed_ = false;  // callback only: not told yet
    std::atomic<std::int64_t> last_push_ns_{0};
    std::atomic<std::int64_t> overflow_flags_{0};
};

} // namespace quietpass
