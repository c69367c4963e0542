#include "daemon/changes/window.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

// A scored passage a minute, the first at minute 0; every tenth is not scored.
std::vector<PassageFacts> minutes(int count) {
    std::vector<PassageFacts> all;
    for (int i = 0; i < count; ++i) {
        PassageFacts passage;
        passage.row.entered_utc_ns = 60'000'000'000LL * i;
        if (i % 10 == 9) passage.row.passage.excluded = "silent";
        all.push_back(passage);
    }
    return all;
}

std::int64_t minute_of(const PassageFacts& passage) {
    return *passage.row.entered_utc_ns / 60'000'000'000LL;
}

constexpr std::int64_t kChange = 60'000'000'000LL * 50;

} // namespace

TEST_CASE("A window of time takes the scored passages so long before and after, the moment itself after") {
    const LocalTime utc("UTC");
    const auto window = window_from("20m", utc);
    REQUIRE(window);
    const auto before = passages_before(minutes(100), kChange, *window);
    CHECK(before.size() == 18);
    CHECK(minute_of(before.front()) == 30);
    CHECK(minute_of(before.back()) == 48);
    const auto after = passages_after(minutes(100), kChange, *window);
    CHECK(after.size() == 18);
    CHECK(minute_of(after.front()) == 50);
    CHECK(minute_of(after.back()) == 68);
}

TEST_CASE("A window of a number takes the scored passages nearest to the change") {
    const auto window = window_from("12", LocalTime("UTC"));
    const auto before = passages_before(minutes(100), kChange, *window);
    REQUIRE(before.size() == 12);
    CHECK(minute_of(before.back()) == 48);
    CHECK(minute_of(before.front()) == 36);
    const auto after = passages_after(minutes(55), kChange, *window);
    CHECK(after.size() == 5); // no more are there
}

TEST_CASE("A window of two moments takes what lies between, still on its own side") {
    const auto window = window_from("1970-01-01 00:40,1970-01-01 01:00", LocalTime("UTC"));
    REQUIRE(window);
    CHECK(minute_of(passages_before(minutes(100), kChange, *window).front()) == 40);
    CHECK(minute_of(passages_after(minutes(100), kChange, *window).back()) == 58);
}

TEST_CASE("What was not scored is told of the same time as what was") {
    const auto window = window_from("12", LocalTime("UTC"));
    const auto before = entered_before(minutes(100), kChange, *window);
    REQUIRE(before.size() == 14); // of the minutes 39 and 49 too
    CHECK(minute_of(before.front()) == 36);
    CHECK(minute_of(before.back()) == 49);
    const auto after = entered_after(minutes(100), kChange, *window);
    REQUIRE(after.size() == 13); // the 12th scored one is the last
    CHECK(minute_of(after.back()) == 62);
    CHECK(entered_after(minutes(60), kChange, *window_from("20m", LocalTime("UTC"))).size() == 10);
}

TEST_CASE("What is no window is nothing") {
    for (const char* bad : {"", "0", "-3", "7x", "7dd", "d", "1e9", "9999999999999d", "2026-03-02 06:00,",
                            "2026-03-02 06:00,2026-03-02 05:00", "999999999d"}) {
        INFO(bad);
        CHECK_FALSE(window_from(bad, LocalTime("UTC")));
    }
    CHECK(window_from("7d", LocalTime("UTC"))->length_ns == 7LL * 86400 * 1'000'000'000);
    CHECK(window_from("36h", LocalTime("UTC"))->length_ns == 36LL * 3600 * 1'000'000'000);
}
