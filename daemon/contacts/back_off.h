// How long to wait before the next try to reach a lost device: at first first_s, then twice as long each
// time, up to last_s. Pure.
#pragma once

#include <algorithm>

namespace quietpass {

class BackOff {
  public:
    BackOff(double first_s, double last_s) : first_s_(first_s), last_s_(last_s), next_s_(first_s) {}

    double next() {
        const double wait_s = next_s_;
        next_s_ = std::min(2.0 * next_s_, last_s_);
        return wait_s;
    }
    // It answered.
    void reset() { next_s_ = first_s_; }

  private:
    double first_s_;
    double last_s_;
    double next_s_;
};

} // namespace quietpass
