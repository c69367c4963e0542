#include "daemon/changes/run_chart.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

std::vector<ChartPassage> passages(int vocal, int count, std::int64_t first_ns) {
    std::vector<ChartPassage> out;
    for (int i = 0; i < count; ++i) out.push_back({first_ns + i, i < vocal});
    return out;
}

} // namespace

TEST_CASE("Groups don't span the change, and their limits are those of the mean before and their own size") {
    const RunChart chart = run_chart(passages(20, 100, 0), passages(0, 70, 1000), 50);
    REQUIRE(chart.groups.size() == 4);
    CHECK(*chart.mean == Approx(.20));
    CHECK(chart.groups[0].vocal.k == 20);
    CHECK(chart.groups[1].vocal.k == 0);
    CHECK(chart.groups[1].first_utc_ns == 50);
    CHECK_FALSE(chart.groups[1].after);
    CHECK(chart.groups[2].after);
    CHECK(chart.groups[2].first_utc_ns == 1000);
    CHECK(chart.groups[3].vocal.n == 20);
    // .2 + 3 sqrt(.2 * .8 / 50) = .3697; of 20: .4683.
    CHECK(chart.groups[0].limits->high == Approx(.3697).margin(.0001));
    CHECK(chart.groups[3].limits->high == Approx(.4683).margin(.0001));
    CHECK(chart.groups[0].outside());       // .40
    CHECK(chart.groups[2].outside());       // 0 under .0303
    CHECK_FALSE(chart.groups[3].outside()); // 0 of 20 can be chance
}

TEST_CASE("A drawn line shows mean, limits and the group, marked where it is outside") {
    const RunChart chart = run_chart(passages(5, 50, 0), passages(20, 50, 1000), 50);
    const DrawnChart drawing = drawn(chart, 41);
    REQUIRE(drawing.lines.size() == 2);
    CHECK(drawing.right_percent == 40.0);
    // Mean .10, limits 0 and .2273: a column a percent.
    CHECK(drawing.lines[0] == ":         *            :                 ");
    CHECK(drawing.lines[1] == ":         |            :                #");
}

TEST_CASE("Without passages before there are no limits") {
    const RunChart chart = run_chart({}, passages(1, 10, 0), 50);
    CHECK_FALSE(chart.mean);
    CHECK_FALSE(chart.groups[0].limits);
    CHECK(drawn(chart, 11).lines[0] == "          *");
    CHECK(drawn({}, 11).lines.empty());
}
