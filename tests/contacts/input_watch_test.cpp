#include "daemon/contacts/input_watch.h"

#include <catch2/catch.hpp>
#include <vector>

using namespace quietpass;

namespace {

std::vector<ContactFault> faults_of(InputWatch& watch) {
    std::vector<ContactFault> faults;
    for (ContactFault fault; watch.take(fault);) faults.push_back(fault);
    return faults;
}

} // namespace

TEST_CASE("a contact closed for longer than it may be is reported once", "[contacts]") {
    InputWatch watch(3, 600.0);
    watch.change(10.0, true);
    watch.known_until(610.0);
    CHECK(faults_of(watch).empty());
    watch.known_until(610.1);
    watch.known_until(5000.0);
    const auto faults = faults_of(watch);
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].contact == 3);
    CHECK(faults[0].what == ContactFaultKind::kStuck);
    CHECK(faults[0].start_s == 10.0);
    CHECK(name_of(faults[0].what) == "stuck");
}

TEST_CASE("a contact that sticks again is reported again", "[contacts]") {
    InputWatch watch(0, 600.0);
    watch.change(0.0, true);
    watch.change(700.0, false);
    watch.change(701.0, true);
    watch.known_until(1400.0);
    CHECK(faults_of(watch).size() == 2);
}

TEST_CASE("a contact that stays open is never stuck", "[contacts]") {
    InputWatch watch(0, 600.0);
    watch.change(0.0, true);
    watch.change(599.0, false);
    watch.known_until(1e6);
    CHECK(faults_of(watch).empty());
}

TEST_CASE("an input that was lost is not stuck over the time that nobody saw", "[contacts]") {
    InputWatch watch(0, 600.0);
    watch.change(0.0, true);
    watch.known_until(500.0);
    watch.lost();
    watch.change(700.0, true);
    watch.known_until(1300.0);
    CHECK(faults_of(watch).empty());
    watch.known_until(1300.1);
    CHECK(faults_of(watch).at(0).start_s == 700.0);
}

TEST_CASE("more changes in a minute than any restrainer makes are reported once", "[contacts]") {
    InputWatch watch(0, 600.0, 10);
    bool closed = false;
    double time_s = 100.0;
    for (int change = 0; change < 10; ++change) watch.change(time_s += 1.0, closed = !closed);
    CHECK(faults_of(watch).empty());
    for (int change = 0; change < 1000; ++change) watch.change(time_s += 1.0, closed = !closed);
    const auto faults = faults_of(watch);
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].what == ContactFaultKind::kChattering);
    CHECK(faults[0].start_s == 101.0);
    CHECK(name_of(faults[0].what) == "chattering");
}

TEST_CASE("an input that calmed down and chatters again is reported again", "[contacts]") {
    InputWatch watch(0, 600.0, 10);
    const auto chatter = [&watch](double from_s) {
        for (int change = 0; change < 12; ++change) watch.change(from_s + change, change % 2 == 0);
    };
    chatter(0.0);
    chatter(300.0);
    CHECK(faults_of(watch).size() == 2);
}

TEST_CASE("many changes spread over more than a minute are no chattering", "[contacts]") {
    InputWatch watch(0, 600.0, 10);
    bool closed = false;
    for (int change = 0; change < 1000; ++change) watch.change(change * 6.1, closed = !closed);
    CHECK(faults_of(watch).empty());
}
