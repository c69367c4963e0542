// The hours in which only what is of severity at_once is told. Local times of the station. Errors as
// Schedule's. Not thread-safe: it remembers the answer up to the next border.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/shifts/schedule.h"

namespace quietpass {

class QuietTimes {
  public:
    QuietTimes() = default; // never quiet
    QuietTimes(const std::string& timezone, const std::vector<ShiftSettings>& hours);

    bool at(std::int64_t utc_ns);

  private:
    std::optional<Schedule> schedule_;
    std::int64_t from_ns_ = 0;  // the answer holds from here …
    std::int64_t until_ns_ = 0; // … to here
    bool quiet_ = false;
};

} // namespace quietpass
