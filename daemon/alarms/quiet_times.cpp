#include "daemon/alarms/quiet_times.h"

#include <limits>

namespace quietpass {

QuietTimes::QuietTimes(const std::string& timezone, const std::vector<ShiftSettings>& hours) {
    if (!hours.empty()) schedule_.emplace(timezone, hours);
}

bool QuietTimes::at(std::int64_t utc_ns) {
    if (!schedule_) return false;
    if (utc_ns < from_ns_ || utc_ns >= until_ns_) {
        quiet_ = schedule_->shift_at(utc_ns).has_value();
        from_ns_ = utc_ns;
        until_ns_ = schedule_->next_border(utc_ns).value_or(std::numeric_limits<std::int64_t>::max());
    }
    return quiet_;
}

} // namespace quietpass
