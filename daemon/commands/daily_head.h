// Tells when a day has ended at the station: then the ledger is signed. Header only; one thread.
#pragma once

#include <cstdint>
#include <string>

#include "daemon/records/local_time.h"

namespace quietpass {

class DailyHead {
  public:
    explicit DailyHead(const std::string& timezone) : time_(timezone) {}

    // True once a local day, at the first call after midnight; not at the very first one.
    bool due(std::int64_t utc_ns) {
        constexpr std::int64_t kLookEvery_ns = 1'000'000'000;
        if (utc_ns < next_look_ns_ && utc_ns > next_look_ns_ - 2 * kLookEvery_ns) return false;
        next_look_ns_ = utc_ns + kLookEvery_ns;
        std::string day = time_.text(utc_ns).substr(0, 10);
        const bool ended = !day_.empty() && day != day_;
        day_ = std::move(day);
        return ended;
    }

  private:
    LocalTime time_;
    std::string day_;
    std::int64_t next_look_ns_ = 0;
};

} // namespace quietpass
