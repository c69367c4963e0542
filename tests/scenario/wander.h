// A value that drifts about 0 with standard deviation 1 and forgets itself in tau_s (an Ornstein-Uhlenbeck
// process).
#pragma once

#include <cmath>

#include "tests/scenario/random.h"

namespace quietpass::scenario {

class Wander {
  public:
    Wander(const Random& random, double step_s, double tau_s)
        : random_(random), keep_(std::exp(-step_s / tau_s)), kick_(std::sqrt(1.0 - keep_ * keep_)) {
        value_ = random_.normal();
    }
    double next() noexcept {
        // The sum of four uniform numbers is near enough to normal here, and cheap.
        const double sum =
            random_.uniform() + random_.uniform() + random_.uniform() + random_.uniform() - 2.0;
        return value_ = keep_ * value_ + kick_ * sum * 1.7320508075688772;
    }

  private:
    Random random_;
    double keep_, kick_, value_;
};

} // namespace quietpass::scenario
