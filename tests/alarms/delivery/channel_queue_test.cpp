#include <catch2/catch.hpp>
#include <cstdint>
#include <memory>
#include <vector>

#include "daemon/alarms/delivery/channel_queue.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using test::sample_message;

namespace {

constexpr std::int64_t kSecond = 1'000'000'000;

ChannelQueue::Message message(const char* id) {
    return std::make_shared<const AlarmMessage>(sample_message(id));
}

ChannelQueue two_waiting() {
    ChannelQueue queue(RetryPace(2.0, 60.0, 1));
    queue.put(message("a"), 0);
    queue.put(message("b"), 0);
    return queue;
}

} // namespace

TEST_CASE("waits double from the first to the last, and a random part of at most a half is taken off",
          "[delivery]") {
    RetryPace pace(2.0, 60.0, 7);
    const std::vector<double> longest = {2, 4, 8, 16, 32, 60, 60, 60};
    bool varied = false;
    for (std::size_t i = 0; i < longest.size(); ++i) {
        const double wait_s = pace.wait_s(static_cast<std::int64_t>(i) + 1);
        CHECK(wait_s <= longest[i]);
        CHECK(wait_s >= 0.5 * longest[i]);
        varied = varied || wait_s != longest[i];
    }
    CHECK(varied);
    CHECK(pace.wait_s(1'000'000) <= 60.0);
    RetryPace same(2.0, 60.0, 7);
    CHECK(same.wait_s(1) != pace.wait_s(1));
}

TEST_CASE("the oldest message is due first, and stays until it is done", "[delivery]") {
    ChannelQueue queue = two_waiting();
    CHECK(queue.due(0)->id == "a");
    CHECK(queue.due(0)->id == "a");
    queue.done("a");
    CHECK(queue.due(0)->id == "b");
    queue.done("b");
    CHECK(queue.due(0) == nullptr);
    CHECK_FALSE(queue.next_due_ns());
}

TEST_CASE("a receiver that can't be reached stops the whole channel for a while", "[delivery]") {
    ChannelQueue queue = two_waiting();
    const std::int64_t again_ns = queue.unreachable(10 * kSecond);
    CHECK(again_ns >= 11 * kSecond);
    CHECK(again_ns <= 12 * kSecond);
    CHECK(queue.due(again_ns - 1) == nullptr);
    CHECK(queue.next_due_ns() == again_ns);
    CHECK(queue.due(again_ns)->id == "a");
    const std::int64_t later_ns = queue.unreachable(again_ns);
    CHECK(later_ns - again_ns >= 2 * kSecond);
    // Success forgets the failures.
    queue.done("a");
    CHECK(queue.due(later_ns - kSecond)->id == "b");
    CHECK(queue.unreachable(100 * kSecond) <= 102 * kSecond);
}

TEST_CASE("a message that is refused waits by itself, and the others go through", "[delivery]") {
    ChannelQueue queue = two_waiting();
    const std::int64_t again_ns = queue.refused("a", 0);
    CHECK(queue.due(0)->id == "b");
    queue.done("b");
    CHECK(queue.due(again_ns - 1) == nullptr);
    CHECK(queue.next_due_ns() == again_ns);
    CHECK(queue.due(again_ns)->id == "a");
    CHECK(queue.refused("a", again_ns) - again_ns >= 2 * kSecond);
}

TEST_CASE("a new message cuts a long wait short, but never below the first", "[delivery]") {
    ChannelQueue queue = two_waiting();
    for (std::int64_t failures = 0; failures < 10; ++failures) queue.unreachable(0);
    CHECK(*queue.next_due_ns() >= 30 * kSecond);
    queue.put(message("c"), kSecond);
    CHECK(*queue.next_due_ns() == 2 * kSecond);
    queue.unreachable(2 * kSecond);
    queue.put(message("d"), 20 * kSecond);
    CHECK(*queue.next_due_ns() == 20 * kSecond);
    CHECK(queue.due(20 * kSecond)->id == "a");
}
