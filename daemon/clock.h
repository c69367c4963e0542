// The seam for time. Everything in the daemon that asks what time it is asks a Clock; tests and the demo
// bring their own. Thread-safe: both calls may come from any thread, the audio callback included (no lock, no
// allocation).
#pragma once

#include <cstdint>

namespace quietpass {

class Clock {
  public:
    virtual ~Clock() = default;
    // Nanoseconds that never step backwards (CLOCK_MONOTONIC for the real clock).
    virtual std::int64_t monotonic_ns() const noexcept = 0;
    // Nanoseconds since 1970-01-01T00:00:00Z.
    virtual std::int64_t utc_ns() const noexcept = 0;
};

class RealClock final : public Clock {
  public:
    std::int64_t monotonic_ns() const noexcept override;
    std::int64_t utc_ns() const noexcept override;
};

// The real clock run `speed` times faster from the moment of construction: for demonstrations and tests that
// play a shift faster than it happened. At a speed of 1 its UTC is the system's, corrections and steps
// included.
class ScaledClock final : public Clock {
  public:
    explicit ScaledClock(double speed);
    std::int64_t monotonic_ns() const noexcept override;
    std::int64_t utc_ns() const noexcept override;

  private:
    RealClock real_;
    double speed_;
    std::int64_t monotonic_origin_ns_;
    std::int64_t utc_origin_ns_;
};

} // namespace quietpass
