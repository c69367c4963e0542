// The plant's clock: goes when the microphone says so. World seconds count from the month's first local
// midnight; UTC can be set wrong by a step, as a person or a time server does. Thread-safe.
#pragma once

#include <atomic>
#include <cmath>

#include "daemon/clock.h"

namespace quietpass::soak {

class SoakClock final : public Clock {
  public:
    explicit SoakClock(std::int64_t utc_ns_at_zero) : utc_ns_at_zero_(utc_ns_at_zero) {}

    std::int64_t monotonic_ns() const noexcept override { return kBoot_ns + now_ns_; }
    std::int64_t utc_ns() const noexcept override { return utc_ns_at_zero_ + now_ns_ + step_ns_; }

    double world_s() const { return static_cast<double>(now_ns_) * 1e-9; }
    static double world_s_of(std::int64_t monotonic_ns) {
        return static_cast<double>(monotonic_ns - kBoot_ns) * 1e-9;
    }
    static std::int64_t monotonic_ns_of(double world_s) {
        return kBoot_ns + static_cast<std::int64_t>(std::llround(world_s * 1e9));
    }
    // Never backwards.
    void go_to(double world_s) {
        const auto then_ns = static_cast<std::int64_t>(std::llround(world_s * 1e9));
        if (then_ns > now_ns_) now_ns_ = then_ns;
    }
    void step_utc(double seconds) { step_ns_ = static_cast<std::int64_t>(std::llround(seconds * 1e9)); }

  private:
    static constexpr std::int64_t kBoot_ns = 1'000'000'000'000;
    const std::int64_t utc_ns_at_zero_;
    std::atomic<std::int64_t> now_ns_{0};
    std::atomic<std::int64_t> step_ns_{0};
};

} // namespace quietpass::soak
