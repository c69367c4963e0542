#include "daemon/health/bad_run.h"

#include <rapidcheck/catch.h>
#include <catch2/catch.hpp>
#include <vector>

using namespace quietpass;

namespace {

constexpr double kAfter_s = 30.0;

struct Played {
    std::vector<BadRun::Stretch> stretches; // touching ones joined
    double found_s = -1.0;                  // when the first was
};

// A second a letter: b bad, g good, - passed by.
Played play(const std::string& seconds) {
    BadRun run(kAfter_s);
    Played played;
    for (std::size_t i = 0; i < seconds.size(); ++i) {
        const double start_s = static_cast<double>(i);
        if (seconds[i] == '-') {
            run.pass_by(start_s + 1.0);
            continue;
        }
        const auto found = run.take(start_s, start_s + 1.0, seconds[i] == 'b');
        if (!found) continue;
        if (played.stretches.empty()) played.found_s = start_s + 1.0;
        if (!played.stretches.empty() && played.stretches.back().end_s == found->start_s) {
            played.stretches.back().end_s = found->end_s;
        } else {
            played.stretches.push_back(*found);
        }
    }
    return played;
}

std::string seconds(std::size_t count, char letter) {
    return std::string(count, letter);
}

} // namespace

TEST_CASE("A fault is found within half a minute and stands from its first second to its last") {
    const Played played = play(seconds(100, 'g') + seconds(200, 'b') + seconds(100, 'g'));
    REQUIRE(played.stretches.size() == 1);
    CHECK(played.found_s == 130.0);
    // Up to three seconds of the onset pass as ordinary before the run looks suspicious.
    CHECK(played.stretches[0].start_s == Approx(100.0).margin(3.0));
    CHECK(played.stretches[0].end_s == 300.0);
}

TEST_CASE("Half a minute less a second, and bad seconds now and then, are no fault") {
    CHECK(play(seconds(100, 'g') + seconds(29, 'b') + seconds(100, 'g')).stretches.empty());
    std::string now_and_then;
    for (int i = 0; i < 200; ++i) now_and_then += "bgbg";
    CHECK(play(now_and_then).stretches.empty());
}

TEST_CASE("Good seconds within a fault belong to it, and a bad one while it ends does not prolong it") {
    std::string gusty = seconds(60, 'b');
    for (int i = 0; i < 50; ++i) gusty += "bbg";
    const Played played = play(gusty + "ggggbgggg" + seconds(100, 'g'));
    REQUIRE(played.stretches.size() == 1);
    CHECK(played.stretches[0].end_s == 209.0); // the last bad second
}

TEST_CASE("What was passed by is in no fault, and the fault goes on after it") {
    const Played played = play(seconds(60, 'b') + seconds(600, '-') + seconds(60, 'b'));
    REQUIRE(played.stretches.size() == 2);
    CHECK(played.stretches[0].end_s == 60.0);
    CHECK(played.stretches[1].start_s == 660.0);
    CHECK(played.stretches[1].end_s == 720.0);
}

TEST_CASE("Nothing is called trouble that was settled before, and nobody waits longer than two minutes") {
    rc::prop("settled stays settled", [] {
        const auto letters = *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 8));
        BadRun run(8.0);
        double settled_s = 0.0;
        double told_s = 0.0;
        for (std::size_t i = 0; i < letters.size(); ++i) {
            const double start_s = static_cast<double>(i);
            if (letters[i] == 0) {
                run.pass_by(start_s + 1.0);
            } else if (const auto found = run.take(start_s, start_s + 1.0, letters[i] > 3)) {
                RC_ASSERT(found->start_s >= settled_s);
                RC_ASSERT(found->start_s >= told_s);
                RC_ASSERT(found->end_s == start_s + 1.0);
                told_s = found->end_s;
            }
            RC_ASSERT(run.settled_until_s() >= settled_s);
            RC_ASSERT(run.settled_until_s() <= start_s + 1.0);
            RC_ASSERT(run.settled_until_s() >= start_s + 1.0 - 120.0);
            settled_s = run.settled_until_s();
        }
    });
}
