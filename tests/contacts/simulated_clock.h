// A clock that goes only when it is told to. Thread-safe, as every Clock.
#pragma once

#include <atomic>

#include "daemon/clock.h"

namespace quietpass {

class SimulatedClock final : public Clock {
  public:
    std::int64_t monotonic_ns() const noexcept override { return now_ns_; }
    std::int64_t utc_ns() const noexcept override { return now_ns_; }

    void go_to(double time_s) { now_ns_ = static_cast<std::int64_t>(time_s * 1e9 + 0.5); }

  private:
    std::atomic<std::int64_t> now_ns_{0};
};

} // namespace quietpass
