#include "daemon/contacts/level_report.h"

#include <catch2/catch.hpp>

#include "daemon/contacts/contact_queue.h"

using namespace quietpass;

namespace {

// "c7=1@5 " a change, "c7=1!5 " one after a loss, "k5 " known, "l3-5 " lost.
std::string words(ContactQueue& queue) {
    std::vector<ContactEvent> events;
    queue.take_all(events);
    std::string text;
    for (const ContactEvent& event : events) {
        const std::string at = std::to_string(event.at_ns);
        switch (event.kind) {
            case ContactEvent::Kind::kChange:
                text += "c" + std::to_string(event.contact) + (event.level ? "=1" : "=0") +
                        (event.after_loss ? "!" : "@") + at + " ";
                break;
            case ContactEvent::Kind::kKnown:
                text += "k" + at + " ";
                break;
            case ContactEvent::Kind::kLost:
                text += "l" + std::to_string(event.from_ns) + "-" + at + " ";
                break;
        }
    }
    return text;
}

struct Reported {
    Reported() : report(2, {7, 9}) { report.begin(queue, 0); }
    ContactQueue queue;
    LevelReport report;
};

} // namespace

TEST_CASE("levels are told once all of them are known, changes as they come", "[contacts]") {
    Reported it;
    it.report.learn(1, true, 3);
    it.report.known(4);
    CHECK(words(it.queue).empty());
    CHECK(it.report.unknown() == 0);
    it.report.learn(0, false, 5);
    CHECK(it.report.complete());
    it.report.learn(0, false, 6);
    it.report.learn(0, true, 7);
    it.report.known(8);
    CHECK(words(it.queue) == "c7=0!5 c9=1!5 c7=1@7 k8 ");
}

TEST_CASE("after a loss nothing is told before all levels are known again, then all of them", "[contacts]") {
    Reported it;
    it.report.learn(0, true, 1);
    it.report.learn(1, true, 1);
    it.report.known(2);
    words(it.queue);
    it.report.lost(5, "unplugged");
    it.report.learn(1, false, 6);
    it.report.known(7);
    CHECK(words(it.queue) == "l2-5 ");
    it.report.learn(1, true, 8);
    it.report.learn(0, true, 9);
    it.report.known(10);
    CHECK(words(it.queue) == "l5-9 c7=1!9 c9=1!9 k10 ");
}

TEST_CASE("one input that is lost makes the source lost, and the others are not forgotten", "[contacts]") {
    Reported it;
    it.report.learn(0, true, 1);
    it.report.learn(1, false, 1);
    it.report.known(2);
    words(it.queue);
    it.report.lose(1, 4, "its wire is cut");
    it.report.learn(0, false, 5);
    CHECK(it.report.unknown() == 1);
    it.report.learn(1, false, 6);
    CHECK(words(it.queue) == "l2-4 l4-6 c7=0!6 c9=0!6 ");
}

TEST_CASE("what is known is never told of anew, even by a stamp that steps back", "[contacts]") {
    Reported it;
    it.report.learn(0, false, 1);
    it.report.learn(1, false, 1);
    it.report.known(10);
    it.report.learn(0, true, 8);
    it.report.known(9);
    it.report.lost(7, "back in time");
    CHECK(words(it.queue) == "c7=0!1 c9=0!1 k10 c7=1@10 k10 l10-10 ");
}

TEST_CASE("levels that stay out are told as a loss after a while, and then now and then", "[contacts]") {
    constexpr std::int64_t kSecond_ns = 1'000'000'000;
    Reported it;
    it.report.learn(0, false, 1);
    it.report.tell_incomplete(kSecond_ns, 2.0, "9 is missing");
    CHECK(words(it.queue).empty());
    it.report.tell_incomplete(2 * kSecond_ns, 2.0, "9 is missing");
    it.report.tell_incomplete(2 * kSecond_ns + 1000, 2.0, "9 is missing");
    it.report.tell_incomplete(3 * kSecond_ns, 2.0, "9 is missing");
    CHECK(words(it.queue) == "l0-2000000000 l2000000000-3000000000 ");
    it.report.learn(1, true, 4 * kSecond_ns);
    CHECK(words(it.queue) == "l3000000000-4000000000 c7=0!4000000000 c9=1!4000000000 ");
}
