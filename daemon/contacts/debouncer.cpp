#include "daemon/contacts/debouncer.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {
bool reaches(double seconds, double limit_s) {
    return std::round(seconds * 1e6) >= std::round(limit_s * 1e6);
}
} // namespace

std::optional<StableChange> Debouncer::change(double time_s, bool closed) {
    const std::optional<StableChange> settled = known_until(time_s);
    if (closed != raw_) {
        raw_ = closed;
        since_s_ = known_s_;
    }
    return settled;
}

// At most one edge comes of it: a closing that was held back is given before its opening can have settled.
std::optional<StableChange> Debouncer::known_until(double time_s) {
    known_s_ = std::max(known_s_, time_s);
    if (raw_ != stable_ && reaches(known_s_ - since_s_, debounce_s_)) {
        stable_ = raw_;
        if (stable_) {
            touched_ = true;
            touched_s_ = since_s_;
        } else if (touched_) {
            touched_ = false;
        } else {
            return StableChange{since_s_, false};
        }
    }
    // While it reads open it was closed only until that began.
    const double closed_until_s = raw_ ? known_s_ : since_s_;
    if (touched_ && reaches(closed_until_s - touched_s_, hold_s_)) {
        touched_ = false;
        return StableChange{touched_s_, true};
    }
    return std::nullopt;
}

void Debouncer::lost() {
    stable_ = closed();
    touched_ = false;
    raw_ = stable_;
}

} // namespace quietpass
