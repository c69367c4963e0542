#include "daemon/contacts/contact_inputs.h"

#include <rapidcheck/catch.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <tuple>

#include "daemon/contacts/contact_queue.h"
#include "daemon/contacts/contacts_csv.h"
#include "tests/contacts/scripted_source.h"
#include "tests/contacts/simulated_clock.h"
#include "tests/contacts/test_station.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

constexpr double kForever = std::numeric_limits<double>::infinity();

std::vector<ContactEdge> taken(ContactInputs& inputs) {
    std::vector<ContactEdge> edges;
    for (ContactEdge edge; inputs.take(edge);) edges.push_back(edge);
    return edges;
}

std::string words(const std::vector<ContactEdge>& edges) {
    std::string text;
    for (const ContactEdge& edge : edges) {
        text += std::to_string(edge.edge.time_s) + " " + std::string(name_of(edge.edge.role)) +
                (edge.edge.closed ? " 1; " : " 0; ");
    }
    return text;
}

// Pieces of one contact that touch are one.
std::string words(std::vector<ContactOutage> spans) {
    std::sort(spans.begin(), spans.end(), [](const ContactOutage& a, const ContactOutage& b) {
        return std::tie(a.contact, a.start_s) < std::tie(b.contact, b.start_s);
    });
    std::string text;
    for (std::size_t i = 0; i < spans.size(); ++i) {
        const bool goes_on =
            i > 0 && spans[i - 1].contact == spans[i].contact && spans[i].start_s - spans[i - 1].end_s < 1e-9;
        if (!goes_on) text += std::to_string(spans[i].contact) + ": " + std::to_string(spans[i].start_s);
        const bool ends = i + 1 == spans.size() || spans[i + 1].contact != spans[i].contact ||
                          spans[i + 1].start_s - spans[i].end_s >= 1e-9;
        if (ends) text += "-" + std::to_string(spans[i].end_s) + "; ";
    }
    return text;
}

// Plays a script turn by turn and gives the edges as they can be released.
std::vector<ContactEdge> played(const StationSettings& settings, std::vector<ScriptedSource::Change> changes,
                                std::vector<ScriptedSource::Loss> losses, double until_s, double turn_s) {
    SimulatedClock clock;
    ScriptedSource source(0, clock, std::move(changes), std::move(losses));
    ContactQueue queue;
    source.start(queue);
    ContactInputs inputs(settings);
    std::vector<ContactEdge> edges;
    std::vector<ContactEvent> events;
    for (double now_s = 0.0; now_s < until_s + turn_s; now_s += turn_s) {
        clock.go_to(std::min(now_s, until_s));
        source.play();
        queue.take_all(events);
        for (const ContactEvent& event : events)
            inputs.take(event, static_cast<double>(event.at_ns) / 1e9,
                        static_cast<double>(event.from_ns) / 1e9);
        for (const ContactEdge& edge : taken(inputs)) edges.push_back(edge);
    }
    inputs.finish();
    for (const ContactEdge& edge : taken(inputs)) edges.push_back(edge);
    return edges;
}

} // namespace

TEST_CASE("an edge is given when no earlier one can come from any contact", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered, Role::kStunned});
    ContactInputs inputs(settings, {0, 1});
    inputs.change(1, 2.0, true);
    inputs.known_until(1, 3.0);
    CHECK(taken(inputs).empty());
    inputs.change(0, 1.0, true);
    inputs.known_until(0, 1.01);
    CHECK(inputs.known_until_s() == 1.0);
    CHECK(taken(inputs).empty());
    inputs.known_until(0, 1.5);
    CHECK(words(taken(inputs)) == "1.000000 entered 1; ");
    CHECK(inputs.known_until_s() == 1.5);
    inputs.known_until(0, 2.5);
    CHECK(words(taken(inputs)) == "2.000000 stunned 1; ");
    CHECK(inputs.known_until_s() == 2.5);
}

TEST_CASE("edges of the same time come in the station file's order", "[contacts]") {
    const StationSettings settings = station_with({Role::kReleased, Role::kEntered});
    ContactInputs inputs(settings);
    inputs.change(1, 1.0, true);
    inputs.change(0, 1.0, true);
    inputs.known_until(0, 2.0);
    CHECK(words(taken(inputs)) == "1.000000 released 1; 1.000000 entered 1; ");
}

TEST_CASE("an inverted contact is closed when its level is low", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered, Role::kStopped});
    settings.contacts[1].inverted = true;
    ContactInputs inputs(settings);
    inputs.level(0, 0.0, false);
    inputs.level(1, 0.0, true);
    inputs.level(1, 1.0, false);
    inputs.known_until(0, 2.0);
    CHECK(words(taken(inputs)) == "1.000000 stopped 1; ");
}

TEST_CASE("a contact that is closed at its first read was closed when listening began", "[contacts]") {
    StationSettings settings =
        station_with({Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased, Role::kProdded});
    settings.contacts[1].offset_s = 0.2;
    settings.contacts[2].offset_s = -0.2;
    ContactInputs inputs(settings);
    const auto read = [&](std::size_t contact, double at_s, bool first) {
        ContactEvent event;
        event.kind = ContactEvent::Kind::kChange;
        event.contact = contact;
        event.level = true;
        event.after_loss = first;
        inputs.take(event, at_s, 0.0);
    };
    for (const std::size_t contact : {std::size_t{0}, std::size_t{1}, std::size_t{2}}) read(contact, 0.3, true);
    read(3, -0.1, true); // before the first sample
    read(4, 0.3, false); // seen to close
    inputs.known_until(0, 1.0);
    CHECK(words(taken(inputs)) == "-0.200000 stunned 1; -0.100000 released 1; 0.000000 entered 1; "
                                  "0.000000 held 1; 0.300000 prodded 1; ");
}

TEST_CASE("what contacts.csv says is not inverted again", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered});
    settings.contacts[0].inverted = true;
    CHECK(words(edges_of({{1.0, 0, true}}, settings)) == "1.000000 entered 1; ");
}

TEST_CASE("a time that steps back is held at the last one known", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered});
    ContactInputs inputs(settings);
    inputs.known_until(0, 10.0);
    inputs.change(0, 9.9, true);
    inputs.known_until(0, 11.0);
    CHECK(words(taken(inputs)) == "10.000000 entered 1; ");
}

TEST_CASE("what has settled is released at the end, what has not is dropped", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered, Role::kStunned}, 0.5);
    ContactInputs inputs(settings);
    inputs.change(0, 1.0, true);
    inputs.change(1, 1.8, true);
    inputs.known_until(0, 2.0);
    inputs.finish();
    CHECK(words(taken(inputs)) == "1.000000 entered 1; ");
}

TEST_CASE("a contact that keeps its level over a loss gives no edge", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered});
    const auto edges = played(settings, {{1.0, 0, true}, {9.0, 0, false}}, {{2.0, 6.0}}, 12.0, 0.25);
    CHECK(words(edges) == "1.000000 entered 1; 9.000000 entered 0; ");
}

TEST_CASE("a change during a loss is an edge at the return", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered, Role::kReleased});
    const auto edges = played(settings, {{1.0, 0, true}, {3.0, 0, false}, {4.0, 1, true}, {5.0, 1, false}},
                              {{2.0, 6.0}}, 12.0, 0.25);
    CHECK(words(edges) == "1.000000 entered 1; 6.000000 entered 0; ");
}

TEST_CASE("a change that had not held when the source was lost stands at the return", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered}, 0.5);
    const auto edges = played(settings, {{1.8, 0, true}}, {{2.0, 6.0}}, 12.0, 0.25);
    CHECK(words(edges) == "6.000000 entered 1; ");
}

TEST_CASE("a loss is told while it lasts, and the other contacts are not held up", "[contacts]") {
    SimulatedClock clock;
    ScriptedSource source(0, clock, {}, {{2.0, 600.0}});
    ContactQueue queue;
    source.start(queue);
    const StationSettings settings = station_with({Role::kEntered});
    ContactInputs inputs(settings);
    std::vector<ContactEvent> events;
    double lost_until_s = 2.0;
    for (const double now_s : {1.0, 10.0, 20.0, 30.0}) {
        clock.go_to(now_s);
        source.play();
        queue.take_all(events);
        for (const ContactEvent& event : events) {
            if (event.kind == ContactEvent::Kind::kLost) {
                CHECK(static_cast<double>(event.from_ns) / 1e9 == lost_until_s);
                lost_until_s = static_cast<double>(event.at_ns) / 1e9;
            }
            inputs.take(event, static_cast<double>(event.at_ns) / 1e9,
                        static_cast<double>(event.from_ns) / 1e9);
        }
        CHECK(taken(inputs).empty());
        CHECK(inputs.known_until_s() == now_s);
    }
    CHECK(lost_until_s == 30.0);
}

TEST_CASE("stuck and chattering contacts are told with their number", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered, Role::kStunned});
    settings.contacts[1].stuck_after_s = 60.0;
    ContactInputs inputs(settings);
    inputs.change(1, 5.0, true);
    for (int change = 0; change < 200; ++change) inputs.change(0, 10.0 + 0.01 * change, change % 2 == 0);
    inputs.known_until(0, 70.0);
    ContactFault fault;
    REQUIRE(inputs.take(fault));
    CHECK(fault.contact == 0);
    CHECK(fault.what == ContactFaultKind::kChattering);
    REQUIRE(inputs.take(fault));
    CHECK(fault.contact == 1);
    CHECK(fault.what == ContactFaultKind::kStuck);
    CHECK_FALSE(inputs.take(fault));
}

TEST_CASE("the end of a recording is no stuck contact", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered});
    ContactInputs inputs(settings);
    inputs.change(0, 5.0, true);
    inputs.known_until(0, kForever);
    ContactFault fault;
    CHECK_FALSE(inputs.take(fault));
}

TEST_CASE("an offset moves a contact's edges, and what is known of it", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered, Role::kStunned});
    settings.contacts[0].offset_s = 0.250;
    settings.contacts[1].offset_s = -0.100;
    ContactInputs inputs(settings);
    inputs.level(0, 1.0, true);
    inputs.level(1, 1.1, true);
    inputs.known_until(0, 2.0);
    CHECK(words(taken(inputs)) == "1.000000 stunned 1; 1.250000 entered 1; ");
    CHECK(inputs.known_until_s() == 1.9);
}

TEST_CASE("an outage is told with its contact's offset, once for each contact of the source", "[contacts]") {
    StationSettings settings = station_with({Role::kEntered, Role::kStunned, Role::kReleased});
    settings.contacts[1].offset_s = -0.100;
    ContactInputs inputs(settings, {0, 0, 1});
    inputs.known_until(0, 1.0);
    inputs.known_until(1, 10.0);
    inputs.lost(0, 1.0, 2.0);
    inputs.lost(0, 2.0, 3.5);
    std::vector<ContactOutage> outages;
    for (ContactOutage outage; inputs.take(outage);) outages.push_back(outage);
    CHECK(words(outages) == "0: 1.000000-3.500000; 1: 0.900000-3.400000; ");
    inputs.known_until(0, 4.0);
    std::string text;
    for (ContactNews news; inputs.take(news);) {
        text += std::to_string(news.contact) + (news.what == ContactNews::What::kLost ? " lost " : " back ") +
                std::to_string(news.edge.time_s) + "; ";
    }
    CHECK(text == "1 lost 0.900000; 0 lost 1.000000; 1 back 3.400000; 0 back 3.500000; ");
}

TEST_CASE("a contacts.csv written over losses gives back the same edges and outages", "[contacts]") {
    const TestFolder folder;
    rc::prop("live = offline over losses", [&] {
        StationSettings settings = station_with({Role::kEntered, Role::kHeld, Role::kStunned});
        for (ContactSettings& contact : settings.contacts) {
            contact.debounce_s = *rc::gen::inRange(0, 40) / 1000.0;
            contact.hold_s = *rc::gen::element(0.0, 0.05);
            contact.offset_s = *rc::gen::element(0.0, 0.12, -0.07);
        }
        const std::vector<std::size_t> source_of = {0, 1, 1};
        ContactInputs inputs(settings, source_of);
        std::vector<ContactNews> news;
        std::vector<ContactOutage> outages;
        const auto take_all = [&] {
            for (ContactNews each; inputs.take(each);) {
                const bool in_order = news.empty() || news.back().edge.time_s <= each.edge.time_s;
                RC_ASSERT(in_order);
                news.push_back(each);
            }
            for (ContactOutage each; inputs.take(each);) outages.push_back(each);
        };
        double now_s[2] = {0.0, 0.0};
        bool lost[2] = {false, false};
        for (const int step : *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 100))) {
            const std::size_t source = *rc::gen::inRange<std::size_t>(0, 2);
            const double before_s = now_s[source];
            now_s[source] += step / 1000.0;
            if (step > 0 && *rc::gen::inRange(0, 6) == 0) {
                inputs.lost(source, before_s, now_s[source]);
                lost[source] = true;
            } else {
                for (std::size_t contact = 0; contact < 3; ++contact) {
                    if (source_of[contact] != source) continue;
                    if (lost[source] || *rc::gen::arbitrary<bool>())
                        inputs.level(contact, now_s[source], *rc::gen::arbitrary<bool>());
                }
                inputs.known_until(source, now_s[source]);
                lost[source] = false;
            }
            take_all();
        }
        for (const std::size_t source : {std::size_t{0}, std::size_t{1}}) {
            if (!lost[source]) inputs.known_until(source, kForever);
        }
        inputs.finish();
        take_all();

        ContactsCsvWriter writer(folder.path("c.csv"), settings);
        std::vector<ContactEdge> edges;
        for (const ContactNews& each : news) {
            RC_ASSERT(writer.write(each));
            if (each.what == ContactNews::What::kEdge) edges.push_back({each.contact, each.edge});
        }
        const ContactHistory back =
            contact_history_of(read_contacts_csv(folder.path("c.csv"), settings), settings);
        RC_ASSERT(words(back.edges) == words(edges));
        // What was lost up to the end is lost for ever in the file.
        for (ContactOutage& outage : outages) {
            const std::size_t source = source_of[outage.contact];
            const double end_s = now_s[source] + settings.contacts[outage.contact].offset_s;
            if (lost[source] && outage.end_s > end_s - 0.001) outage.end_s = kForever;
        }
        RC_ASSERT(words(back.outages) == words(outages));
    });
}

TEST_CASE("live edges are the edges of the file, however the sources interleave", "[contacts]") {
    const TestFolder folder;
    rc::prop("live = offline", [&] {
        StationSettings settings =
            station_with({Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased});
        std::vector<std::size_t> source_of;
        for (ContactSettings& contact : settings.contacts) {
            contact.debounce_s = *rc::gen::inRange(0, 40) / 1000.0;
            source_of.push_back(*rc::gen::inRange<std::size_t>(0, 2));
        }
        // What each source sees, in its order, in microseconds.
        struct Seen {
            std::int64_t time_us;
            ContactChange change;
        };
        std::vector<Seen> seen[2];
        std::vector<ContactChange> all;
        std::int64_t time_us = 0;
        for (const int step_us : *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 30'000))) {
            time_us += step_us;
            const ContactChange change{static_cast<double>(time_us) / 1e6,
                                       *rc::gen::inRange<std::size_t>(0, settings.contacts.size()),
                                       *rc::gen::arbitrary<bool>()};
            seen[source_of[change.contact]].push_back({time_us, change});
            all.push_back(change);
        }

        ContactInputs inputs(settings, source_of);
        std::vector<ContactEdge> live;
        double given_until_s = 0.0;
        std::size_t next[2] = {0, 0};
        while (next[0] < seen[0].size() || next[1] < seen[1].size()) {
            std::size_t source = *rc::gen::inRange<std::size_t>(0, 2);
            if (next[source] == seen[source].size()) source = 1 - source;
            const Seen& now = seen[source][next[source]++];
            inputs.change(now.change.contact, now.change.time_s, now.change.closed);
            if (*rc::gen::arbitrary<bool>()) inputs.known_until(source, now.change.time_s);
            const double promised_s = inputs.known_until_s();
            for (const ContactEdge& edge : taken(inputs)) {
                RC_ASSERT(edge.edge.time_s >= given_until_s);
                given_until_s = edge.edge.time_s;
                live.push_back(edge);
            }
            RC_ASSERT(inputs.known_until_s() >= promised_s);
            given_until_s = std::max(given_until_s, promised_s);
        }
        inputs.known_until(0, kForever);
        inputs.known_until(1, kForever);
        for (const ContactEdge& edge : taken(inputs)) live.push_back(edge);
        RC_ASSERT(std::is_sorted(live.begin(), live.end(), [](const ContactEdge& a, const ContactEdge& b) {
            return a.edge.time_s < b.edge.time_s;
        }));

        RC_ASSERT(words(live) == words(edges_of(all, settings)));

        ContactsCsvWriter writer(folder.path("c.csv"), settings);
        for (const ContactEdge& edge : live)
            writer.write({ContactNews::What::kEdge, edge.contact, edge.edge});
        const auto back = edges_of(read_contacts_csv(folder.path("c.csv"), settings), settings);
        RC_ASSERT(words(live) == words(back));
    });
}
