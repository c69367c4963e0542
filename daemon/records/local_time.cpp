#include "daemon/records/local_time.h"

#include <date/tz.h>

#include <chrono>

#include "daemon/records/utc_text.h"
#include "daemon/shifts/time_zone.h"

namespace quietpass {

LocalTime::LocalTime(const std::string& timezone) : name_(timezone), zone_(zone_named(timezone)) {}

std::string LocalTime::text(std::int64_t utc_ns) const {
    const date::sys_time<std::chrono::nanoseconds> moment{std::chrono::nanoseconds(utc_ns)};
    return date::format("%Y-%m-%d %H:%M:%S", date::floor<std::chrono::seconds>(zone_->to_local(moment)));
}

std::optional<std::int64_t> LocalTime::moment(const std::string& text) const {
    std::string utc = text;
    constexpr std::size_t kBlank = 10;          // "2026-03-02 "
    constexpr std::size_t kWithoutSeconds = 16; // "2026-03-02 06:10"
    if (utc.size() > kBlank && utc[kBlank] == ' ') utc[kBlank] = 'T';
    const bool is_utc = utc.ends_with('Z');
    if (is_utc) utc.pop_back();
    if (utc.size() == kWithoutSeconds) utc += ":00";
    const std::optional<std::int64_t> moment = utc_from_text(utc + "Z");
    if (!moment || is_utc) return moment;
    const date::local_time<std::chrono::nanoseconds> local{std::chrono::nanoseconds(*moment)};
    return zone_->to_sys(local, date::choose::earliest).time_since_epoch().count();
}

} // namespace quietpass
