#include "daemon/reports/report_span.h"

#include <fmt/format.h>

#include <chrono>
#include <string_view>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using std::chrono::days;
using std::chrono::sys_days;
using std::chrono::year;
using std::chrono::year_month_day;

// Nothing but digits.
std::optional<int> number_in(std::string_view text) {
    int value = 0;
    for (const char letter : text) {
        if (letter < '0' || letter > '9') return std::nullopt;
        value = 10 * value + (letter - '0');
    }
    return value;
}

std::int64_t midnight(sys_days day, const LocalTime& time) {
    const year_month_day date(day);
    const std::string text =
        fmt::format("{:04}-{:02}-{:02} 00:00", static_cast<int>(date.year()),
                    static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
    return time.moment(text).value();
}

sys_days first_monday(int of_year) {
    const sys_days fourth = sys_days(year(of_year) / 1 / 4);
    return fourth - (std::chrono::weekday(fourth) - std::chrono::Monday);
}

// A year that moments in nanoseconds can hold.
bool possible(const std::optional<int>& of_year) {
    return of_year && *of_year >= 1970 && *of_year <= 2261;
}

} // namespace

bool ReportSpan::holds_start(const std::optional<std::int64_t>& start_utc_ns) const {
    if (!from_utc_ns && !to_utc_ns) return true;
    if (!start_utc_ns) return false;
    return (!from_utc_ns || *start_utc_ns >= *from_utc_ns) && (!to_utc_ns || *start_utc_ns < *to_utc_ns);
}

std::string_view name_of(SpanKind kind) {
    constexpr std::string_view kNames[] = {"shift", "week", "month", "between"};
    return kNames[static_cast<std::size_t>(kind)];
}

ReportSpan week_span(const std::string& week, const LocalTime& time) {
    const std::string_view text = week;
    const bool shaped = text.size() == 8 && text.substr(4, 2) == "-W";
    const std::optional<int> of_year = shaped ? number_in(text.substr(0, 4)) : std::nullopt;
    const std::optional<int> number = shaped ? number_in(text.substr(6)) : std::nullopt;
    if (!possible(of_year) || !number) {
        throw Failure(kExitUsage, "report: --week " + week + ": expected a week as in 2026-W10");
    }
    const sys_days monday = first_monday(*of_year) + days(7 * (*number - 1));
    if (*number < 1 || monday >= first_monday(*of_year + 1)) {
        throw Failure(kExitUsage, "report: --week " + week + ": " + std::to_string(*of_year) +
                                      " has no such week; give one from W01 on");
    }
    return {SpanKind::kWeek, week, 0, midnight(monday, time), midnight(monday + days(7), time)};
}

ReportSpan month_span(const std::string& month, const LocalTime& time) {
    const std::string_view text = month;
    const bool shaped = text.size() == 7 && text[4] == '-';
    const std::optional<int> of_year = shaped ? number_in(text.substr(0, 4)) : std::nullopt;
    const std::optional<int> number = shaped ? number_in(text.substr(5)) : std::nullopt;
    if (!possible(of_year) || !number || *number < 1 || *number > 12) {
        throw Failure(kExitUsage, "report: --month " + month + ": expected a month as in 2026-03");
    }
    const auto first = year(*of_year) / static_cast<int>(*number) / 1;
    const auto next = first + std::chrono::months(1);
    return {SpanKind::kMonth, month, 0, midnight(sys_days(first), time), midnight(sys_days(next), time)};
}

} // namespace quietpass
