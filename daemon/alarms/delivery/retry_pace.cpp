#include "daemon/alarms/delivery/retry_pace.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

RetryPace::RetryPace(double first_s, double last_s, std::uint64_t seed)
    : first_s_(first_s), last_s_(std::max(first_s, last_s)), random_(seed) {}

double RetryPace::wait_s(std::int64_t failures) {
    const auto doublings = static_cast<double>(std::clamp<std::int64_t>(failures - 1, 0, 60));
    const double longest_s = std::min(last_s_, first_s_ * std::exp2(doublings));
    return longest_s * std::uniform_real_distribution<double>(0.5, 1.0)(random_);
}

} // namespace quietpass
