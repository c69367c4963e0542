#include "daemon/settings/hours_table.h"

#include <algorithm>
#include <string>

namespace quietpass {

namespace {

int minute_of_day(StrictTable& table, std::string_view key) {
    constexpr std::string_view kExpected = "a local time from \"00:00\" to \"23:59\"";
    const std::string text = table.text(key, kExpected);
    const auto two_digits = [&](std::size_t at) {
        const auto digit = [&](std::size_t i) {
            return text[i] >= '0' && text[i] <= '9' ? text[i] - '0' : 100;
        };
        return 10 * digit(at) + digit(at + 1);
    };
    if (text.size() != 5 || text[2] != ':' || two_digits(0) > 23 || two_digits(3) > 59) {
        table.fail(key, "expected " + std::string(kExpected) + ", found \"" + text + "\"");
    }
    return 60 * two_digits(0) + two_digits(3);
}

} // namespace

void read_hours(StrictTable& table, ShiftSettings& hours) {
    hours.start_minute = minute_of_day(table, "start");
    hours.end_minute = minute_of_day(table, "end");
    for (const std::size_t day :
         table.words_or_none("days", {"sun", "mon", "tue", "wed", "thu", "fri", "sat"})) {
        hours.weekdays.push_back(static_cast<unsigned>(day));
    }
    std::sort(hours.weekdays.begin(), hours.weekdays.end());
}

} // namespace quietpass
