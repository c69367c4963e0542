#include "daemon/records/utc_text.h"

#include <catch2/catch.hpp>

#include "daemon/passages/passage.h"
#include "daemon/records/station_utc.h"

using namespace quietpass;

TEST_CASE("A moment is written as UTC with milliseconds, rounded down") {
    CHECK(utc_text(0) == "1970-01-01T00:00:00.000Z");
    CHECK(utc_text(1772946000123999999) ==
          "2026-03-08T05:00:00.123Z"); // computed with date -u -d @1772946000
    CHECK(utc_text(1709164800000000000) == "2024-02-29T00:00:00.000Z");
    CHECK(utc_text(-1) == "1969-12-31T23:59:59.999Z");
}

TEST_CASE("A moment that was written reads back, and what is none is refused") {
    CHECK(utc_from_text("1970-01-01T00:00:00Z") == 0);
    CHECK(utc_from_text("2026-03-08T05:00:00.123Z") == 1772946000123000000);
    CHECK(utc_from_text(utc_text(1709164800000000000)) == 1709164800000000000);
    for (const char* text :
         {"", "yesterday", "2026-03-08", "2026-03-08T05:00:00", "2026-03-08T05:00Z", "2026-02-30T05:00:00Z",
          "2026-03-08T25:00:00Z", "9999-12-31T00:00:00Z", "2150-01-01T00:00:00Z", "2026-03-08T05:00:60Z", "2026-03-08T05:00:00+01:00",
          "2026-03-08T05:00:00.12x", "2026-3-8T05:00:00Z", "2026-03-08T05:00:00Z ", "2026-03-08T-5:00:00Z"}) {
        INFO(text);
        CHECK_FALSE(utc_from_text(text));
    }
}

TEST_CASE("Station seconds become UTC by the fit's line, and a time never seen has none") {
    const StationUtc utc{1772946000000000000, 1e9 + 20000.0}; // 20 ppm
    CHECK(utc.at(0.0) == 1772946000000000000);
    CHECK(utc.at(100.0) == 1772946100002000000);
    CHECK_FALSE(utc.at(kNever));
}
