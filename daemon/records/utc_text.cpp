#include "daemon/records/utc_text.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdio>

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

std::optional<std::int64_t> utc_from_text(const std::string& text) {
    int year = 0;
    unsigned month = 0;
    unsigned day = 0;
    int hour = 0;
    int minute = 0;
    int second = 0;
    int taken = 0;
    // The widths keep numbers small, %n tells whether all were there. NOLINTNEXTLINE(cert-err34-c)
    std::sscanf(text.c_str(), "%4d-%2u-%2uT%2d:%2d:%2d%n", &year, &month, &day, &hour, &minute, &second,
                &taken);
    constexpr int kWhole = 19; // "2026-03-02T13:00:00"; signs and blanks make it shorter or longer
    if (taken != kWhole || text.find_first_of(" +\t") != std::string::npos) return std::nullopt;
    std::int64_t ns = 0;
    auto at = static_cast<std::size_t>(taken);
    if (at < text.size() && text[at] == '.') {
        std::int64_t unit_ns = 100'000'000;
        for (++at; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at, unit_ns /= 10) {
            ns += (text[at] - '0') * unit_ns;
        }
    }
    if (text.substr(at) != "Z") return std::nullopt;
    const std::chrono::year_month_day date{std::chrono::year(year), std::chrono::month(month),
                                           std::chrono::day(day)};
    // Nanoseconds since 1970 end in 2262; a century of windows around a moment must fit too.
    const bool counts = year >= 1900 && year < 2150;
    const bool real = counts && date.ok() && hour >= 0 && hour < 24 && minute >= 0 && minute < 60 &&
                      second >= 0 && second < 60;
    if (!real) return std::nullopt;
    const std::chrono::nanoseconds moment = std::chrono::sys_days(date).time_since_epoch() +
                                            std::chrono::hours(hour) + std::chrono::minutes(minute) +
                                            std::chrono::seconds(second) + std::chrono::nanoseconds(ns);
    return moment.count();
}

} // namespace quietpass
