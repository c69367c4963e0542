#include "daemon/health/bad_run.h"

#include <algorithm>

namespace quietpass {

std::optional<BadRun::Stretch> BadRun::take(double start_s, double end_s, bool bad) noexcept {
    if (bad) {
        if (sum_ <= 0.0) run_start_s_ = start_s;
        sum_ = std::min(sum_ + 1.0, after_);
    } else {
        sum_ = std::max(sum_ - 1.0, 0.0);
    }
    std::optional<Stretch> found;
    if (!on_ && sum_ >= after_) {
        on_ = true;
        // What was settled stays so.
        found = Stretch{std::max(run_start_s_, settled_s_), end_s};
        told_until_s_ = end_s;
    } else if (on_ && sum_ >= after_) {
        found = Stretch{std::max(told_until_s_, settled_s_), end_s};
        told_until_s_ = end_s;
    } else if (on_ && sum_ <= 0.0) {
        on_ = false;
    }
    double settled_s = end_s;
    if (on_) {
        settled_s = told_until_s_;
    } else if (sum_ >= kSuspicious) {
        settled_s = run_start_s_;
    }
    settled_s_ = std::max({settled_s_, settled_s, end_s - kPatience_s});
    return found;
}

void BadRun::pass_by(double end_s) noexcept {
    if (on_) told_until_s_ = end_s;
    const bool waits = !on_ && sum_ >= kSuspicious;
    settled_s_ = std::max(settled_s_, waits ? std::max(run_start_s_, end_s - kPatience_s) : end_s);
}

} // namespace quietpass
