#include "daemon/changes/comparison.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

bool say(const std::vector<std::string>& lines, const std::string& words) {
    for (const std::string& line : lines) {
        if (line.find(words) != std::string::npos) return true;
    }
    return false;
}

Comparison of(const evaluation::Rate& before, const evaluation::Rate& after,
              const ComparisonWish& wish = {}) {
    return compare({before, {}, {}, {}}, {after, {}, {}, {}}, wish);
}

} // namespace

TEST_CASE("4 of 100 to 1 of 100 is not shown, and it is said what would show it") {
    ComparisonWish wish;
    wish.hoped_share = 0.01;
    const Comparison comparison = of({4, 100}, {1, 100}, wish);
    CHECK_FALSE(comparison.shown);
    CHECK(comparison.fisher_p == Approx(.369).margin(.0005)); // computed
    CHECK(comparison.difference->value == Approx(-.03));
    CHECK(comparison.difference->interval.high > 0.0);
    const auto lines = words_of(comparison);
    CHECK(say(lines, "4 of 100 to 1 of 100 is not shown"));
    CHECK(say(lines, "these passages can't tell"));
    CHECK(say(lines, "from 4 % to 1 %"));
    CHECK(say(lines, "no number of passages after is enough"));
    CHECK(*comparison.needed_each > 400);
    CHECK(*comparison.needed_each < 600);
    CHECK_FALSE(comparison.needed_more_after);
}

TEST_CASE("8 of 100 to 1 of 100 is shown, and that is not the change's doing") {
    const Comparison comparison = of({8, 100}, {1, 100});
    CHECK(comparison.shown);
    const auto lines = words_of(comparison);
    CHECK(say(lines, "8 of 100 to 1 of 100 is shown"));
    CHECK(say(lines, "in 35 of 1,000 such pairs"));
    CHECK(say(lines, "not that this change did it"));
    CHECK(comparison.hoped_share == Approx(.04)); // half of before, where nothing is hoped for
}

TEST_CASE("With enough before, it is said how many more after would do") {
    ComparisonWish wish;
    wish.hoped_share = 0.02;
    const Comparison comparison = of({40, 500}, {3, 100}, wish);
    REQUIRE(comparison.needed_more_after);
    CHECK(*comparison.needed_more_after > 50);
    CHECK(say(words_of(comparison), std::to_string(*comparison.needed_more_after) + " more after would do"));
    wish.showing.power = 0.95;
    CHECK(of({40, 500}, {3, 100}, wish).needed_more_after > comparison.needed_more_after);
}

TEST_CASE("An empty window compares nothing, and a silent one before hopes for nothing") {
    const Comparison empty = of({0, 0}, {1, 100});
    CHECK_FALSE(empty.difference);
    CHECK_FALSE(empty.shown);
    CHECK(say(words_of(empty), "No scored passages before"));
    CHECK(say(words_of(of({0, 100}, {1, 100})), "Nobody was vocal before"));
}

TEST_CASE("A difference that lots alone may have made is told as such") {
    // The same 40 of 400 to 12 of 400, once spread over the lots, once all in one of them.
    const std::vector<evaluation::Rate> even_before(8, {5, 50});
    const std::vector<evaluation::Rate> even_after = {{2, 50}, {1, 50}, {2, 50}, {1, 50},
                                                      {2, 50}, {1, 50}, {2, 50}, {1, 50}};
    std::vector<evaluation::Rate> lumped_before(8, {1, 50});
    lumped_before[0] = {33, 50};
    const Comparison even = compare({{40, 400}, even_before, {}, {}}, {{12, 400}, even_after, {}, {}}, {});
    const Comparison lumped =
        compare({{40, 400}, lumped_before, {}, {}}, {{12, 400}, even_after, {}, {}}, {});
    CHECK(even.shown);
    CHECK(lumped.shown);
    CHECK(even.difference_allowing_for_lots->high < 0.0);
    CHECK(lumped.difference_allowing_for_lots->high > 0.0);
    CHECK_FALSE(say(words_of(even), "it may be the lots"));
    CHECK(say(words_of(lumped), "it may be the lots"));
}
