// Monotonic time ↔ UTC. The offset is taken once at the start and then follows the system's UTC slowly (at
// most 500 ppm, as NTP slews), so that times within a shift never jump for small corrections; a clock that
// was set by more than a second is believed once three looks in a row agree.
//
// Nanoseconds throughout: Clock::monotonic_ns() and Clock::utc_ns(). Pure. One thread uses it.
#pragma once

#include <cstdint>

namespace quietpass {

class UtcFit {
  public:
    UtcFit(std::int64_t monotonic_ns, std::int64_t utc_ns);

    // A fresh look at both clocks, some seconds apart.
    void follow(std::int64_t monotonic_ns, std::int64_t utc_ns);

    std::int64_t utc_ns_at(std::int64_t monotonic_ns) const { return monotonic_ns + offset_ns_; }
    std::int64_t monotonic_ns_at(std::int64_t utc_ns) const { return utc_ns - offset_ns_; }
    // How far the system's UTC was from ours at the last look, seconds.
    double error_s() const { return error_s_; }

  private:
    std::int64_t offset_ns_;
    std::int64_t last_look_ns_;
    int steps_in_a_row_ = 0;
    double error_s_ = 0.0;
};

} // namespace quietpass
