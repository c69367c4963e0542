// How long to wait after a failure: twice as long each time, between two bounds, and a random part of it, so
// that a receiver that comes back is not met by all its senders at once. Pure; the same seed gives the same
// waits.
#pragma once

#include <cstdint>
#include <random>

namespace quietpass {

class RetryPace {
  public:
    RetryPace(double first_s, double last_s, std::uint64_t seed);

    // failures: in a row, from 1. Between half and the whole of first_s · 2^(failures − 1), at most last_s.
    double wait_s(std::int64_t failures);

    double first_s() const { return first_s_; }

  private:
    double first_s_;
    double last_s_;
    std::mt19937_64 random_;
};

} // namespace quietpass
