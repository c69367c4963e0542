#include "daemon/reports/report_span.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"

using namespace quietpass;

namespace {

std::string from(const ReportSpan& span) {
    return utc_text(span.from_utc_ns.value());
}

std::string to(const ReportSpan& span) {
    return utc_text(span.to_utc_ns.value());
}

} // namespace

TEST_CASE("A week is from Monday to Monday, midnight of the station's time") {
    const LocalTime denver("America/Denver");
    const ReportSpan week = week_span("2026-W10", denver);
    CHECK(from(week) == "2026-03-02T07:00:00.000Z");
    // The clocks go forward on Sunday of that week: it is an hour shorter.
    CHECK(to(week) == "2026-03-09T06:00:00.000Z");
}

TEST_CASE("The first week of a year holds 4 January, and a year has 52 or 53 of them") {
    const LocalTime utc("UTC");
    CHECK(from(week_span("2026-W01", utc)) == "2025-12-29T00:00:00.000Z");
    CHECK(from(week_span("2026-W53", utc)) == "2026-12-28T00:00:00.000Z");
    CHECK(from(week_span("2027-W01", utc)) == "2027-01-04T00:00:00.000Z");
    CHECK_THROWS_WITH(week_span("2025-W53", utc), Catch::Contains("2025 has no such week"));
}

TEST_CASE("A month is from its first midnight to the next one's") {
    const ReportSpan month = month_span("2026-12", LocalTime("Europe/Copenhagen"));
    CHECK(from(month) == "2026-11-30T23:00:00.000Z");
    CHECK(to(month) == "2026-12-31T23:00:00.000Z");
}

TEST_CASE("What is no week or month is refused in one line that says how it is written") {
    const LocalTime utc("UTC");
    for (const char* text : {"", "2026-10", "2026-W1", "2026-W00", "2026-W54", "W10-2026", "2026-Wxx"}) {
        INFO(text);
        CHECK_THROWS_AS(week_span(text, utc), Failure);
    }
    for (const char* text : {"", "2026", "2026-13", "2026-00", "2026-3", "March", "2026-W10", "9999-01"}) {
        INFO(text);
        CHECK_THROWS_AS(month_span(text, utc), Failure);
    }
    CHECK_THROWS_WITH(month_span("March", utc), Catch::Contains("expected a month as in 2026-03"));
}
