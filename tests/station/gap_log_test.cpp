#include "daemon/gap_log.h"

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("Stretches of one source and cause that touch become one gap") {
    GapLog log;
    log.add("head", 1.0, 2.0, GapCause::kSilent);
    log.add("head", 2.0, 3.5, GapCause::kSilent);
    Gap gap;
    REQUIRE(log.take_ended(10.0, gap));
    CHECK(gap.start_s == 1.0);
    CHECK(gap.end_s == 3.5);
    CHECK_FALSE(log.take_ended(10.0, gap));
}

TEST_CASE("Other sources, other causes and stretches apart stay gaps of their own") {
    GapLog log;
    log.add("head", 1.0, 2.0, GapCause::kSilent);
    log.add("race", 1.5, 2.5, GapCause::kSilent);
    log.add("head", 1.5, 3.0, GapCause::kClipped);
    log.add("head", 5.0, 6.0, GapCause::kSilent);
    Gap gap;
    int count = 0;
    double last_end_s = 0.0;
    while (log.take_ended(10.0, gap)) {
        CHECK(gap.end_s >= last_end_s);
        last_end_s = gap.end_s;
        ++count;
    }
    CHECK(count == 4);
}

TEST_CASE("A gap that may still grow is not told, but does uncover") {
    GapLog log;
    log.add("head", 1.0, 2.0, GapCause::kUnplugged);
    Gap gap;
    CHECK_FALSE(log.take_ended(2.0, gap));
    CHECK(log.gap_in(1.5, 4.0) == GapCause::kUnplugged);
    CHECK_FALSE(log.gap_in(2.0, 4.0));
    CHECK_FALSE(log.gap_in(0.0, 1.0));
}

TEST_CASE("The first of several gaps in a stretch names the cause") {
    GapLog log;
    log.add("head", 5.0, 6.0, GapCause::kClipped);
    log.add("head", 2.0, 3.0, GapCause::kOverrun);
    CHECK(log.gap_in(0.0, 10.0) == GapCause::kOverrun);
}

TEST_CASE(
    "What is first known at the end of an outage is not covered, what begins at the end of another gap is") {
    GapLog log;
    log.add("module", 1.0, 5.0, GapCause::kContactsLost);
    log.add("head", 10.0, 15.0, GapCause::kOverrun);
    CHECK(log.gap_in(5.0, 8.0) == GapCause::kContactsLost);
    CHECK_FALSE(log.gap_in(5.001, 8.0));
    CHECK_FALSE(log.gap_in(15.0, 18.0));
}

TEST_CASE("What was told and is old is forgotten") {
    GapLog log;
    log.add("head", 1.0, 2.0, GapCause::kSilent);
    log.add("head", 100.0, 101.0, GapCause::kSilent);
    log.forget_before(50.0);
    CHECK(log.gap_in(0.0, 10.0));
    Gap gap;
    REQUIRE(log.take_ended(50.0, gap));
    log.forget_before(50.0);
    CHECK_FALSE(log.gap_in(0.0, 10.0));
    CHECK(log.gap_in(99.0, 110.0));
}
