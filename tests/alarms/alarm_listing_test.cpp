#include "daemon/alarms/alarm_listing.h"

#include <catch2/catch.hpp>

#include "daemon/records/utc_text.h"

using namespace quietpass;

namespace {

constexpr std::int64_t kSecond_ns = 1'000'000'000;
constexpr std::int64_t kRaised_ns = 1'772'972'412 * kSecond_ns; // 2026-03-08T12:20:12Z

std::vector<StoredAlarm> one_alarm() {
    AlarmEventRow row;
    row.alarm_id = 7;
    row.cause = "disk_low";
    row.event = "raised";
    row.utc_ns = kRaised_ns;
    row.severity = "soon";
    row.count = 1;
    row.told = true;
    row.what = "120 MB are free at records; the limit is 500 MB.";
    AlarmEventRow seen = row;
    seen.event = "acknowledged";
    seen.by = "M. Berg";
    seen.told = false;
    seen.utc_ns += 61 * kSecond_ns;
    return alarms_in(std::vector{row, seen});
}

} // namespace

TEST_CASE("alarms are listed in the station's time, and for machines in UTC") {
    REQUIRE(utc_text(kRaised_ns) == "2026-03-08T12:20:12.000Z");
    const auto alarms = one_alarm();
    const LocalTime denver("America/Denver"); // daylight saving began there three hours before
    CHECK(alarm_table(alarms, denver).find("    7 2026-03-08 06:20 acknowledged") != std::string::npos);
    CHECK(alarm_table(alarms, denver).find("\nTimes are those of America/Denver.\n") != std::string::npos);
    const std::string page = alarm_page(alarms[0], denver);
    CHECK(page.find("\n  acknowledged, soon, seen once, acknowledged by M. Berg\n") != std::string::npos);
    CHECK(page.find("\n  2026-03-08 06:20:12  raised ") != std::string::npos);
    CHECK(page.find("\n  2026-03-08 06:21:13  acknowledged     1  noted by M. Berg\n") != std::string::npos);
    CHECK(page.find("\n  Times are those of America/Denver.\n") != std::string::npos);
    CHECK(alarm_csv(alarms).find("2026-03-08T12:20:12.000Z,2026-03-08T12:21:13.000Z") != std::string::npos);
    CHECK(alarm_json(alarms, true).find("\"utc\": \"2026-03-08T12:21:13.000Z\"") != std::string::npos);
}
