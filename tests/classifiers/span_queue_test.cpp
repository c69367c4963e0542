#include <catch2/catch.hpp>

#include "classifiers/span_queue.h"

using namespace quietpass;

TEST_CASE("stretches leave in order of start") {
    SpanQueue queue;
    queue.add({50, 80}, FoundBy::kLevel);
    queue.add({10, 95}, FoundBy::kLevel);
    queue.add({20, 30}, FoundBy::kTone);
    FoundSpan out;
    CHECK(queue.earliest(1000) == 10);
    REQUIRE(queue.take(out));
    CHECK(out.span.first == 10);
    REQUIRE(queue.take(out));
    CHECK(out.span.first == 20);
    REQUIRE(queue.take(out));
    CHECK(out.span.first == 50);
    CHECK_FALSE(queue.take(out));
}

TEST_CASE("one sound found by level and by tone leaves once, as found by level") {
    for (const bool tone_first : {true, false}) {
        SpanQueue queue;
        queue.add({12, 60}, tone_first ? FoundBy::kTone : FoundBy::kLevel);
        queue.add({10, 62}, tone_first ? FoundBy::kLevel : FoundBy::kTone);
        FoundSpan out;
        REQUIRE(queue.take(out));
        CHECK(out.by == FoundBy::kLevel);
        CHECK_FALSE(queue.take(out));
    }
}

TEST_CASE("a tone within a much longer sound leaves by itself too") {
    SpanQueue queue;
    queue.add({100, 150}, FoundBy::kTone);
    queue.add({10, 200}, FoundBy::kLevel);
    FoundSpan out;
    REQUIRE(queue.take(out));
    REQUIRE(queue.take(out));
    CHECK(out.by == FoundBy::kTone);
}

TEST_CASE("a stretch waits for what is under way and for what follows it to be heard") {
    SpanQueue queue;
    queue.add({10, 60}, FoundBy::kLevel);
    FoundSpan out;
    CHECK_FALSE(queue.take_settled(40, 200, out));
    CHECK_FALSE(queue.take_settled(200, 60, out));
    CHECK(queue.take_settled(61, 61, out));
}

TEST_CASE("a full queue refuses the new stretch and says so") {
    SpanQueue queue;
    for (std::size_t i = 0; i < SpanQueue::kCapacity; ++i) {
        const auto at = static_cast<FrameIndex>(100 * i);
        CHECK(queue.add({at, at + 10}, FoundBy::kLevel) == 0);
    }
    CHECK(queue.add({5, 9}, FoundBy::kLevel) == 1);
    CHECK(queue.earliest(1000) == 0);
}
