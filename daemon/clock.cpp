#include "daemon/clock.h"

#include <ctime>

namespace quietpass {

namespace {

std::int64_t now_ns(clockid_t clock) noexcept {
    timespec now{};
    clock_gettime(clock, &now);
    return static_cast<std::int64_t>(now.tv_sec) * 1'000'000'000 + now.tv_nsec;
}

} // namespace

std::int64_t RealClock::monotonic_ns() const noexcept {
    return now_ns(CLOCK_MONOTONIC);
}

std::int64_t RealClock::utc_ns() const noexcept {
    return now_ns(CLOCK_REALTIME);
}

ScaledClock::ScaledClock(double speed)
    : speed_(speed), monotonic_origin_ns_(real_.monotonic_ns()), utc_origin_ns_(real_.utc_ns()) {}

std::int64_t ScaledClock::monotonic_ns() const noexcept {
    const double elapsed = static_cast<double>(real_.monotonic_ns() - monotonic_origin_ns_);
    return monotonic_origin_ns_ + static_cast<std::int64_t>(elapsed * speed_);
}

std::int64_t ScaledClock::utc_ns() const noexcept {
    // The system's UTC is corrected now and then, and that must be seen.
    if (speed_ == 1.0) return real_.utc_ns();
    return utc_origin_ns_ + (monotonic_ns() - monotonic_origin_ns_);
}

} // namespace quietpass
