#include "daemon/capture/utc_fit.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace quietpass {

namespace {
constexpr std::int64_t kStepNs = 1'000'000'000;
constexpr int kLooksToBelieve = 3;
constexpr double kMostSlew = 500e-6;
} // namespace

UtcFit::UtcFit(std::int64_t monotonic_ns, std::int64_t utc_ns)
    : offset_ns_(utc_ns - monotonic_ns), last_look_ns_(monotonic_ns) {}

void UtcFit::follow(std::int64_t monotonic_ns, std::int64_t utc_ns) {
    const std::int64_t apart_ns = utc_ns - monotonic_ns - offset_ns_;
    const double elapsed_ns = static_cast<double>(std::max<std::int64_t>(monotonic_ns - last_look_ns_, 0));
    last_look_ns_ = monotonic_ns;
    error_s_ = std::abs(static_cast<double>(apart_ns)) * 1e-9;
    if (std::llabs(apart_ns) > kStepNs) {
        if (++steps_in_a_row_ < kLooksToBelieve) return;
        steps_in_a_row_ = 0;
        offset_ns_ += apart_ns;
        return;
    }
    steps_in_a_row_ = 0;
    const auto most_ns = static_cast<std::int64_t>(elapsed_ns * kMostSlew);
    offset_ns_ += std::clamp(apart_ns, -most_ns, most_ns);
}

} // namespace quietpass
