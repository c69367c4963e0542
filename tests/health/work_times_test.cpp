#include "daemon/health/work_times.h"

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("The line works for a minute after each edge and not before the first") {
    WorkTimes work(60.0);
    work.take({100.0, Role::kEntered, true});
    work.take({130.0, Role::kStunned, true});
    CHECK_FALSE(work.at(99.0));
    CHECK(work.at(100.0));
    CHECK(work.at(189.0));
    CHECK_FALSE(work.at(190.0));
}

TEST_CASE("Later edges change nothing of what was") {
    WorkTimes work(60.0);
    work.take({100.0, Role::kEntered, true});
    work.take({300.0, Role::kStopped, true});
    CHECK(work.at(120.0));
    CHECK_FALSE(work.at(200.0));
}

TEST_CASE("A line that stands does not work, whatever the contacts do meanwhile") {
    WorkTimes work(60.0);
    work.take({100.0, Role::kEntered, true});
    work.take({110.0, Role::kStopped, true});
    work.take({115.0, Role::kReleased, true});
    work.take({400.0, Role::kStopped, false});
    CHECK(work.at(105.0));
    CHECK_FALSE(work.at(112.0));
    CHECK_FALSE(work.at(120.0));
    CHECK(work.at(410.0));
    work.forget_before(300.0);
    CHECK_FALSE(work.at(310.0));
    CHECK(work.at(410.0));
}
