// Which shift a moment lies in, by the station's time zone (IANA rules, so daylight saving is right).
//
// Times are UTC nanoseconds since 1970-01-01T00:00:00Z. A shift is [start, end): its end belongs to what
// follows. A local time that a clock change skips means the moment of the change (it rolls forward); one
// that happens twice means the first of the two, for starts and for ends alike. So two shifts that touch on
// paper touch on every day, none ever overlap, and a shift that lies wholly in a skipped hour does not take
// place that day.
//
// Errors: Failure (exit 2) for a zone that is unknown, an impossible minute or weekday, or shifts that
// overlap; Failure (exit 1) where the machine has no time zone data. Immutable after construction; any
// thread.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/settings/station_settings.h"

namespace quietpass {

struct Shift {
    std::string name;
    std::optional<std::int64_t> start_utc_ns; // none: open, because the station has no schedule
    std::optional<std::int64_t> end_utc_ns;
};

class Schedule {
  public:
    // No shifts: everything is one shift without borders, named "all".
    Schedule(const std::string& timezone, const std::vector<ShiftSettings>& shifts);
    ~Schedule();
    Schedule(Schedule&&) noexcept;
    Schedule& operator=(Schedule&&) noexcept;

    // Nothing between shifts.
    std::optional<Shift> shift_at(std::int64_t utc_ns) const;

    // The first start or end of a shift after this moment; nothing without a schedule.
    std::optional<std::int64_t> next_border(std::int64_t utc_ns) const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
