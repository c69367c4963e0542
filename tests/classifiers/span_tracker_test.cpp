#include <catch2/catch.hpp>
#include <vector>

#include "classifiers/span_tracker.h"

using namespace quietpass;

namespace {

SpanSettings settings() {
    SpanSettings s;
    s.on = 4.0F;
    s.off = 2.0F;
    s.drop = 18.0F;
    s.shortest = 5;
    s.longest = 100;
    s.join = 8;
    return s;
}

std::vector<Span> spans_of(const std::vector<float>& activity, const SpanSettings& with = settings()) {
    SpanTracker tracker(with);
    std::vector<Span> spans;
    for (std::size_t i = 0; i < activity.size(); ++i) {
        if (const auto span = tracker.process(static_cast<FrameIndex>(i), activity[i], activity[i])) {
            spans.push_back(*span);
        }
    }
    if (const auto span = tracker.finish()) spans.push_back(*span);
    return spans;
}

std::vector<float> flat(std::size_t count, float value) {
    return std::vector<float>(count, value);
}

std::vector<float> joined(std::initializer_list<std::vector<float>> parts) {
    std::vector<float> all;
    for (const auto& part : parts) all.insert(all.end(), part.begin(), part.end());
    return all;
}

} // namespace

TEST_CASE("a stretch begins where the activity left `off`, not where it reached `on`") {
    const auto spans = spans_of(joined({flat(30, 0), flat(6, 3), flat(20, 6), flat(40, 0)}));
    REQUIRE(spans.size() == 1);
    CHECK(spans[0].first == 30);
    CHECK(spans[0].last == 55);
    CHECK_FALSE(spans[0].cut_short);
}

TEST_CASE("activity that never reaches `on` makes no stretch") {
    CHECK(spans_of(joined({flat(30, 0), flat(60, 3.9F), flat(30, 0)})).empty());
}

TEST_CASE("a pause up to the joining length is bridged, a longer one is not") {
    CHECK(spans_of(joined({flat(9, 0), flat(20, 6), flat(8, 0), flat(20, 6), flat(20, 0)})).size() == 1);
    CHECK(spans_of(joined({flat(9, 0), flat(20, 6), flat(9, 0), flat(20, 6), flat(20, 0)})).size() == 2);
}

TEST_CASE("shorter stretches than the shortest are dropped") {
    CHECK(spans_of(joined({flat(30, 0), flat(4, 9), flat(30, 0)})).empty());
    CHECK(spans_of(joined({flat(30, 0), flat(5, 9), flat(30, 0)})).size() == 1);
}

TEST_CASE("what comes after a bang and lies far under it is a stretch of its own") {
    // Bang at 40 dB, its ringing down to 8 dB, then a call at 14 dB.
    auto activity = joined({flat(20, 0), flat(6, 40)});
    for (float level = 40; level > 8; level -= 2) activity.push_back(level);
    activity = joined({activity, flat(10, 8), flat(50, 14), flat(30, 0)});
    const auto spans = spans_of(activity);
    REQUIRE(spans.size() == 2);
    CHECK(spans[0].last < 42);
    CHECK(spans[1].first == 52);
    CHECK(spans[1].last == 101);
}

TEST_CASE("a stretch that reaches the longest length is cut at its weakest frame and goes on") {
    auto activity = joined({flat(10, 0), flat(60, 9), flat(1, 5), flat(60, 9), flat(20, 0)});
    const auto spans = spans_of(activity);
    REQUIRE(spans.size() == 2);
    CHECK(spans[0].last == 70);
    CHECK(spans[0].cut_short);
    CHECK_FALSE(spans[0].continues);
    CHECK(spans[1].first == 71);
    CHECK(spans[1].last == 130);
    CHECK(spans[1].continues);
}

TEST_CASE("no stretch is longer than the longest length, whatever goes on") {
    for (const Span& span : spans_of(flat(5000, 9))) CHECK(span.last - span.first + 1 <= 100);
}

TEST_CASE("finish ends what is under way") {
    const auto spans = spans_of(joined({flat(20, 0), flat(30, 9)}));
    REQUIRE(spans.size() == 1);
    CHECK(spans[0].last == 49);
}
