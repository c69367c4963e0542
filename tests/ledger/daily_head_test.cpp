// The day's head is due at the station's midnight, once, also where a clock change is.
#include "daemon/commands/daily_head.h"

#include <catch2/catch.hpp>

#include "daemon/records/utc_text.h"

using namespace quietpass;

TEST_CASE("A head is due once a day, at the first look after the station's midnight") {
    DailyHead daily("America/Denver");
    const auto due_at = [&](const std::string& utc) { return daily.due(*utc_from_text(utc)); };
    CHECK_FALSE(due_at("2026-03-08T06:59:58Z")); // 23:59:58 of the 7th; the day before is not this run's
    CHECK_FALSE(due_at("2026-03-08T06:59:59.5Z"));
    CHECK(due_at("2026-03-08T07:00:00.6Z"));
    CHECK_FALSE(due_at("2026-03-08T07:00:01.7Z"));
    CHECK_FALSE(due_at("2026-03-09T05:59:59Z")); // the clock was put on meanwhile: 23:59:59
    CHECK(due_at("2026-03-09T06:00:01Z"));
}
