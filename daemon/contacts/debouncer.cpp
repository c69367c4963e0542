#include "daemon/contacts/debouncer.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {
double whole_microseconds(double seconds) {
    return std::round(seconds * 1e6);
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

std::optional<StableChange> Debouncer::known_until(double time_s) {
    known_s_ = std::max(known_s_, time_s);
    if (raw_ == stable_) return std::nullopt;
    if (whole_microseconds(known_s_ - since_s_) < whole_microseconds(debounce_s_)) return std::nullopt;
    stable_ = raw_;
    return StableChange{since_s_, stable_};
}

void Debouncer::lost() {
    raw_ = stable_;
}

} // namespace quietpass
