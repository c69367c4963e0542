#include "daemon/records/utc_text.h"

#include <fmt/format.h>

#include <chrono>

namespace quietpass {

std::string utc_text(std::int64_t utc_ns) {
    using std::chrono::floor;
    const std::chrono::sys_time<std::chrono::nanoseconds> moment{std::chrono::nanoseconds(utc_ns)};
    const auto day = floor<std::chrono::days>(moment);
    const std::chrono::year_month_day date(day);
    const std::chrono::hh_mm_ss time(floor<std::chrono::milliseconds>(moment - day));
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       time.hours().count(), time.minutes().count(), time.seconds().count(),
                       time.subseconds().count());
}

} // namespace quietpass
