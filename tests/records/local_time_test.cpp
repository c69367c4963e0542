#include "daemon/records/local_time.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"

using namespace quietpass;

TEST_CASE("Local time reads back as it is shown, on both sides of a clock change") {
    const LocalTime denver("America/Denver");
    for (const char* utc : {"2026-03-08T08:59:59Z", "2026-03-08T09:00:00Z", "2026-07-01T00:00:00Z"}) {
        const std::int64_t moment = *utc_from_text(utc);
        CHECK(denver.moment(denver.text(moment)) == moment);
        CHECK(denver.moment(utc) == moment);
    }
    CHECK(denver.text(*utc_from_text("2026-03-08T08:59:59Z")) == "2026-03-08 01:59:59");
    CHECK(denver.text(*utc_from_text("2026-03-08T09:00:00Z")) == "2026-03-08 03:00:00");
    // 02:30 does not exist on that day: the moment of the change. 01:30 on the first of November is twice.
    CHECK(denver.moment("2026-03-08 02:30") == utc_from_text("2026-03-08T09:00:00Z"));
    CHECK(denver.moment("2026-11-01 01:30") == utc_from_text("2026-11-01T07:30:00Z"));
}

TEST_CASE("Moments may lack seconds or have a T, and nothing else") {
    const LocalTime utc("UTC");
    CHECK(utc.moment("2026-03-02 06:10") == utc_from_text("2026-03-02T06:10:00Z"));
    CHECK(utc.moment("2026-03-02T06:10:05") == utc_from_text("2026-03-02T06:10:05Z"));
    CHECK(utc.moment("2026-03-02T06:10Z") == utc_from_text("2026-03-02T06:10:00Z"));
    for (const char* bad :
         {"", "yesterday", "06:10", "2026-03-02", "2026-13-02 06:10", "2026-03-02 06:10 pm"}) {
        CHECK_FALSE(utc.moment(bad));
    }
    CHECK_THROWS_AS(LocalTime("Mars/Base"), Failure);
}
