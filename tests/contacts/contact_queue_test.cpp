#include "daemon/contacts/contact_queue.h"

#include <catch2/catch.hpp>
#include <thread>

using namespace quietpass;

namespace {

using Kind = ContactEvent::Kind;

ContactEvent event(Kind kind, std::size_t source, std::int64_t at_ns) {
    ContactEvent event;
    event.kind = kind;
    event.source = source;
    event.at_ns = at_ns;
    return event;
}

} // namespace

TEST_CASE("what was posted is taken once, in order", "[contacts]") {
    ContactQueue queue;
    queue.post(event(Kind::kChange, 0, 1));
    queue.post(event(Kind::kChange, 1, 2));
    std::vector<ContactEvent> events(7);
    queue.take_all(events);
    REQUIRE(events.size() == 2);
    CHECK(events[0].at_ns == 1);
    CHECK(events[1].at_ns == 2);
    queue.take_all(events);
    CHECK(events.empty());
}

TEST_CASE("a quiet hour of polls takes the room of one event", "[contacts]") {
    ContactQueue queue;
    for (std::int64_t at_ns = 0; at_ns < 360'000; ++at_ns) queue.post(event(Kind::kKnown, 0, at_ns));
    std::vector<ContactEvent> events;
    queue.take_all(events);
    REQUIRE(events.size() == 1);
    CHECK(events[0].at_ns == 359'999);
}

TEST_CASE("known stamps of different sources, and around changes, are kept apart", "[contacts]") {
    ContactQueue queue;
    queue.post(event(Kind::kKnown, 0, 1));
    queue.post(event(Kind::kKnown, 1, 1));
    queue.post(event(Kind::kChange, 1, 2));
    queue.post(event(Kind::kKnown, 1, 2));
    std::vector<ContactEvent> events;
    queue.take_all(events);
    CHECK(events.size() == 4);
}

TEST_CASE("no change is lost between threads", "[contacts]") {
    ContactQueue queue;
    constexpr std::int64_t kEach = 5'000;
    const auto work = [&](std::size_t source) {
        for (std::int64_t at_ns = 0; at_ns < kEach; ++at_ns) queue.post(event(Kind::kChange, source, at_ns));
    };
    std::thread first(work, 0);
    std::thread second(work, 1);
    std::vector<ContactEvent> events;
    std::int64_t next[2] = {0, 0};
    bool in_order = true;
    while (next[0] < kEach || next[1] < kEach) {
        queue.take_all(events);
        for (const ContactEvent& event : events) in_order = in_order && event.at_ns == next[event.source]++;
    }
    first.join();
    second.join();
    CHECK(in_order);
}
