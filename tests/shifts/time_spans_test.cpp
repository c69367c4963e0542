#include "daemon/shifts/time_spans.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>

using namespace quietpass;

TEST_CASE("Spans that overlap or touch are joined, clipped and counted once") {
    const auto spans = joined({{8.0, 12.0}, {-5.0, 2.0}, {1.0, 3.0}, {3.0, 4.0}, {6.0, 6.0}}, {0.0, 10.0});
    REQUIRE(spans.size() == 2);
    CHECK(spans[0].start_s == 0.0);
    CHECK(spans[0].end_s == 4.0);
    CHECK(spans[1].start_s == 8.0);
    CHECK(spans[1].end_s == 10.0);
    CHECK(total_s(spans) == 6.0);
}

TEST_CASE("What is taken away and what is left add up, whatever the spans") {
    rc::prop("for any two sets", [] {
        const TimeSpan day{0.0, 100.0};
        const auto some = [&day] {
            std::vector<TimeSpan> spans;
            for (const auto& [start, length] : *rc::gen::container<std::vector<std::pair<int, int>>>(
                     rc::gen::pair(rc::gen::inRange(-20, 120), rc::gen::inRange(-3, 30)))) {
                spans.push_back({static_cast<double>(start), static_cast<double>(start + length)});
            }
            return joined(spans, day);
        };
        const auto from = some();
        const auto minus = some();
        const auto left = without(from, minus);
        auto both = left;
        both.insert(both.end(), minus.begin(), minus.end());
        auto all = from;
        all.insert(all.end(), minus.begin(), minus.end());
        RC_ASSERT(total_s(left) + total_s(minus) == total_s(joined(all, day)));
        RC_ASSERT(total_s(joined(both, day)) == total_s(joined(all, day)));
    });
}
