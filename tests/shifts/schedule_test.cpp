#include "daemon/shifts/schedule.h"

#include <date/date.h>

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <sstream>

#include "daemon/failure.h"
#include "daemon/shifts/breaks.h"

using namespace quietpass;

namespace {

// "2026-03-08T05:00:00" in UTC.
std::int64_t utc(const std::string& text) {
    std::istringstream in(text);
    date::sys_seconds moment;
    in >> date::parse("%FT%T", moment);
    REQUIRE(in);
    return std::chrono::nanoseconds(moment.time_since_epoch()).count();
}

constexpr int clock(int hour, int minute) {
    return hour * 60 + minute;
}

ShiftSettings shift(const std::string& name, int start_minute, int end_minute,
                    std::vector<unsigned> weekdays = {}) {
    return {name, start_minute, end_minute, std::move(weekdays)};
}

double hours(const Shift& span) {
    return static_cast<double>(*span.end_utc_ns - *span.start_utc_ns) / 3600e9;
}

void check_span(const Schedule& schedule, const std::string& at, const std::string& start,
                const std::string& end) {
    INFO("at " << at);
    const auto found = schedule.shift_at(utc(at));
    REQUIRE(found);
    CHECK(found->start_utc_ns == utc(start));
    CHECK(found->end_utc_ns == utc(end));
}

} // namespace

TEST_CASE("Without a schedule everything is one shift without borders") {
    const Schedule schedule("America/Denver", {});
    const auto found = schedule.shift_at(utc("2026-07-01T12:00:00"));
    REQUIRE(found);
    CHECK(found->name == "all");
    CHECK_FALSE(found->start_utc_ns);
    CHECK_FALSE(found->end_utc_ns);
    CHECK_FALSE(schedule.next_border(utc("2026-07-01T12:00:00")));
}

TEST_CASE("A shift's start belongs to it and its end does not") {
    const Schedule schedule("America/Denver", {shift("early", clock(6, 0), clock(14, 30))});
    // Denver in July: UTC−6.
    CHECK_FALSE(schedule.shift_at(utc("2026-07-01T12:00:00") - 1));
    CHECK(schedule.shift_at(utc("2026-07-01T12:00:00")));
    CHECK(schedule.shift_at(utc("2026-07-01T20:30:00") - 1));
    CHECK_FALSE(schedule.shift_at(utc("2026-07-01T20:30:00")));
    check_span(schedule, "2026-07-01T15:00:00", "2026-07-01T12:00:00", "2026-07-01T20:30:00");
}

TEST_CASE("The next border is the next start or end, and never the moment itself") {
    const Schedule schedule("America/Denver", {shift("early", clock(6, 0), clock(14, 30))});
    CHECK(schedule.next_border(utc("2026-07-01T11:00:00")) == utc("2026-07-01T12:00:00"));
    CHECK(schedule.next_border(utc("2026-07-01T12:00:00")) == utc("2026-07-01T20:30:00"));
    CHECK(schedule.next_border(utc("2026-07-01T20:30:00")) == utc("2026-07-02T12:00:00"));
}

TEST_CASE("A night shift in Denver is an hour shorter in March and an hour longer in November") {
    // United States rule: clocks change on 8 March and 1 November 2026 at 02:00 local time.
    const Schedule schedule("America/Denver", {shift("night", clock(22, 0), clock(6, 0))});
    check_span(schedule, "2026-03-07T08:00:00", "2026-03-07T05:00:00", "2026-03-07T13:00:00");
    check_span(schedule, "2026-03-08T08:00:00", "2026-03-08T05:00:00", "2026-03-08T12:00:00");
    check_span(schedule, "2026-03-09T11:59:59", "2026-03-09T04:00:00", "2026-03-09T12:00:00");
    check_span(schedule, "2026-11-01T08:30:00", "2026-11-01T04:00:00", "2026-11-01T13:00:00");
    CHECK(hours(*schedule.shift_at(utc("2026-03-08T08:00:00"))) == 7.0);
    CHECK(hours(*schedule.shift_at(utc("2026-11-01T08:30:00"))) == 9.0);
}

TEST_CASE("A night shift in Berlin is right over both changes of 2026") {
    // European Union rule: 29 March and 25 October 2026 at 01:00 UTC.
    const Schedule schedule("Europe/Berlin", {shift("night", clock(22, 0), clock(6, 0))});
    check_span(schedule, "2026-03-29T01:00:00", "2026-03-28T21:00:00", "2026-03-29T04:00:00");
    check_span(schedule, "2026-10-25T01:00:00", "2026-10-24T20:00:00", "2026-10-25T05:00:00");
    check_span(schedule, "2026-12-31T23:30:00", "2026-12-31T21:00:00", "2027-01-01T05:00:00");
}

TEST_CASE("A local time that the clock change skips means the moment of the change") {
    // Denver, 8 March 2026: 02:00 to 03:00 does not exist; the change is at 09:00 UTC.
    const Schedule schedule("America/Denver", {shift("night", clock(22, 0), clock(2, 30)),
                                               shift("wash", clock(2, 30), clock(4, 0))});
    check_span(schedule, "2026-03-08T08:59:59", "2026-03-08T05:00:00", "2026-03-08T09:00:00");
    check_span(schedule, "2026-03-08T09:00:00", "2026-03-08T09:00:00", "2026-03-08T10:00:00");
}

TEST_CASE("A local time that happens twice means the first") {
    // Denver, 1 November 2026: 01:00 to 02:00 happens at 07:00 UTC and again at 08:00 UTC.
    const Schedule schedule("America/Denver", {shift("night", clock(22, 0), clock(1, 30)),
                                               shift("wash", clock(1, 30), clock(4, 0))});
    check_span(schedule, "2026-11-01T07:29:59", "2026-11-01T04:00:00", "2026-11-01T07:30:00");
    check_span(schedule, "2026-11-01T07:30:00", "2026-11-01T07:30:00", "2026-11-01T11:00:00");
}

TEST_CASE("A shift that lies wholly in a skipped hour does not take place that day") {
    const Schedule schedule("America/Denver", {shift("short", clock(2, 10), clock(2, 50))});
    CHECK(schedule.shift_at(utc("2026-03-07T09:30:00")));
    CHECK_FALSE(schedule.shift_at(utc("2026-03-08T09:00:00")));
    CHECK(schedule.next_border(utc("2026-03-07T12:00:00")) == utc("2026-03-09T08:10:00"));
}

TEST_CASE("Weekdays are those on which the shift starts") {
    // 2026-07-03 is a Friday; the night from Friday to Saturday is worked, the next one is not.
    const Schedule schedule("Europe/Berlin", {shift("night", clock(22, 0), clock(6, 0), {1, 2, 3, 4, 5})});
    CHECK(schedule.shift_at(utc("2026-07-04T02:00:00")));
    CHECK_FALSE(schedule.shift_at(utc("2026-07-05T02:00:00")));
    CHECK(schedule.next_border(utc("2026-07-04T05:00:00")) == utc("2026-07-06T20:00:00"));
}

TEST_CASE("A shift that ends when it starts lasts the whole day") {
    const Schedule schedule("UTC", {shift("day", clock(5, 0), clock(5, 0))});
    check_span(schedule, "2026-07-01T04:59:59", "2026-06-30T05:00:00", "2026-07-01T05:00:00");
    check_span(schedule, "2026-07-01T05:00:00", "2026-07-01T05:00:00", "2026-07-02T05:00:00");
}

TEST_CASE("Three shifts round the clock leave no moment out and give none twice, over both changes") {
    const Schedule schedule("America/Denver", {shift("early", clock(6, 0), clock(14, 0)),
                                               shift("late", clock(14, 0), clock(22, 0)),
                                               shift("night", clock(22, 0), clock(6, 0))});
    for (const char* from : {"2026-03-06T00:00:00", "2026-10-30T00:00:00"}) {
        std::int64_t at = *schedule.next_border(utc(from));
        for (int i = 0; i < 15; ++i) {
            const auto before = schedule.shift_at(at - 1);
            const auto after = schedule.shift_at(at);
            REQUIRE(before);
            REQUIRE(after);
            CHECK(before->end_utc_ns == at);
            CHECK(after->start_utc_ns == at);
            CHECK(schedule.next_border(at) == after->end_utc_ns);
            at = *schedule.next_border(at);
        }
    }
}

TEST_CASE("Any moment lies inside the shift found for it, and no border comes before that shift's end") {
    static const Schedule schedule("Europe/Berlin", {shift("a", clock(22, 0), clock(2, 30)),
                                                     shift("b", clock(2, 30), clock(9, 15), {0, 6}),
                                                     shift("c", clock(12, 0), clock(12, 1))});
    rc::prop("over 2026", [] {
        const std::int64_t at =
            1767225600000000000 + *rc::gen::inRange<std::int64_t>(0, 365LL * 86400) * 1000000000;
        const auto found = schedule.shift_at(at);
        if (found) {
            RC_ASSERT(*found->start_utc_ns <= at);
            RC_ASSERT(at < *found->end_utc_ns);
            RC_ASSERT(schedule.next_border(at) == found->end_utc_ns);
        } else {
            const auto border = schedule.next_border(at);
            RC_ASSERT(border);
            RC_ASSERT(schedule.shift_at(*border));
            RC_ASSERT(schedule.shift_at(*border)->start_utc_ns == border);
        }
    });
}

TEST_CASE(
    "An unknown zone, an impossible minute or weekday and overlapping shifts are one-line usage failures") {
    const auto exit_code_of = [](const std::string& zone, const std::vector<ShiftSettings>& shifts) {
        try {
            Schedule(zone, shifts);
        } catch (const Failure& failure) {
            CHECK(std::string(failure.what()).find('\n') == std::string::npos);
            return failure.exit_code();
        }
        return 0;
    };
    CHECK(exit_code_of("America/Atlantis", {}) == kExitUsage);
    CHECK(exit_code_of("", {}) == kExitUsage);
    CHECK(exit_code_of("UTC", {shift("a", -1, 60)}) == kExitUsage);
    CHECK(exit_code_of("UTC", {shift("a", 0, 1440)}) == kExitUsage);
    CHECK(exit_code_of("UTC", {shift("a", 0, 60, {7})}) == kExitUsage);
    CHECK(exit_code_of("UTC", {shift("a", 0, 60), shift("b", 59, 120)}) == kExitUsage);
    // Saturday night runs into Sunday morning.
    CHECK(exit_code_of("UTC", {shift("a", clock(22, 0), clock(6, 0), {6}),
                               shift("b", clock(5, 0), clock(9, 0), {0})}) == kExitUsage);
    CHECK(exit_code_of("UTC", {shift("a", 0, 60), shift("b", 60, 120)}) == 0);
}

TEST_CASE("Breaks of the plan are found between two moments, cut to them, in local time") {
    StationSettings settings;
    settings.timezone = "America/Denver"; // UTC-6 in summer
    settings.breaks = {shift("morning", clock(9, 0), clock(9, 15)),
                       shift("noon", clock(12, 0), clock(12, 30))};
    const auto found = breaks_between(settings, utc("2026-07-01T15:10:00"), utc("2026-07-02T15:05:00"));
    REQUIRE(found.size() == 3);
    CHECK(found[0] == std::pair(utc("2026-07-01T15:10:00"), utc("2026-07-01T15:15:00")));
    CHECK(found[1] == std::pair(utc("2026-07-01T18:00:00"), utc("2026-07-01T18:30:00")));
    CHECK(found[2] == std::pair(utc("2026-07-02T15:00:00"), utc("2026-07-02T15:05:00")));
    settings.breaks.clear();
    CHECK(breaks_between(settings, utc("2026-07-01T15:10:00"), utc("2026-07-02T15:05:00")).empty());
}
