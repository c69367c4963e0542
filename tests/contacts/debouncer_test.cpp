#include "daemon/contacts/debouncer.h"

#include <rapidcheck/catch.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <vector>

using namespace quietpass;

namespace {

constexpr double kNoEnd = std::numeric_limits<double>::infinity();

std::vector<StableChange> debounced(double debounce_s, const std::vector<StableChange>& raw,
                                    double hold_s = 0.0) {
    Debouncer debouncer(debounce_s, hold_s);
    std::vector<StableChange> edges;
    const auto keep = [&](const std::optional<StableChange>& edge) {
        if (edge) edges.push_back(*edge);
    };
    for (const StableChange& change : raw) keep(debouncer.change(change.time_s, change.closed));
    keep(debouncer.known_until(kNoEnd));
    return edges;
}

// Raw changes some milliseconds apart, on the grid of contacts.csv, some of them saying nothing new.
std::vector<StableChange> any_raw() {
    std::vector<StableChange> raw;
    std::int64_t time_ms = *rc::gen::inRange<std::int64_t>(-100'000, 100'000'000);
    for (const int step_ms : *rc::gen::container<std::vector<int>>(rc::gen::inRange(0, 60))) {
        time_ms += step_ms;
        raw.push_back({static_cast<double>(time_ms) / 1000.0, *rc::gen::arbitrary<bool>()});
    }
    return raw;
}

double any_debounce_s() {
    return *rc::gen::inRange(0, 50) / 1000.0;
}

} // namespace

TEST_CASE("a level counts once it has held, from the moment it began", "[contacts]") {
    Debouncer debouncer(0.020);
    CHECK_FALSE(debouncer.change(1.000, true));
    CHECK_FALSE(debouncer.known_until(1.019));
    const auto edge = debouncer.known_until(1.020);
    REQUIRE(edge);
    CHECK(edge->time_s == 1.000);
    CHECK(edge->closed);
    CHECK_FALSE(debouncer.known_until(2.0));
}

TEST_CASE("bounces before a level holds are no edges", "[contacts]") {
    const auto edges = debounced(0.020, {{1.000, true},
                                         {1.003, false},
                                         {1.005, true},
                                         {1.009, false},
                                         {1.010, true},
                                         {3.000, false},
                                         {3.004, true},
                                         {3.007, false}});
    REQUIRE(edges.size() == 2);
    CHECK(edges[0] == StableChange{1.010, true});
    CHECK(edges[1] == StableChange{3.007, false});
}

TEST_CASE("a pulse shorter than the debounce time is no edge, one of just that time is", "[contacts]") {
    CHECK(debounced(0.020, {{5.000, true}, {5.019, false}}).empty());
    // 0.120 − 0.100 and the like fall below 0.020 in floating point.
    for (int start_ms = 0; start_ms < 1000; ++start_ms) {
        const double start_s = start_ms / 1000.0;
        const double end_s = (start_ms + 20) / 1000.0;
        REQUIRE(debounced(0.020, {{start_s, true}, {end_s, false}}).size() == 2);
    }
}

TEST_CASE("with no debounce time every change is an edge", "[contacts]") {
    CHECK(debounced(0.0, {{1.0, true}, {1.0, false}, {1.0, true}}).size() == 3);
}

TEST_CASE("while a level may still become an edge, nothing later is known", "[contacts]") {
    Debouncer debouncer(0.020);
    debouncer.known_until(0.5);
    CHECK(debouncer.known_until_s() == 0.5);
    debouncer.change(1.000, true);
    debouncer.known_until(1.015);
    CHECK(debouncer.known_until_s() == 1.000);
    debouncer.change(1.016, false);
    CHECK(debouncer.known_until_s() == 1.016);
}

TEST_CASE("a change that had not held when the input was lost is forgotten", "[contacts]") {
    Debouncer debouncer(0.020);
    debouncer.change(1.000, true);
    debouncer.known_until(1.010);
    debouncer.lost();
    CHECK_FALSE(debouncer.known_until(9.0));
    CHECK_FALSE(debouncer.closed());
    debouncer.change(9.0, true);
    const auto edge = debouncer.known_until(9.02);
    REQUIRE(edge);
    CHECK(edge->time_s == 9.0);
}

TEST_CASE("debouncing twice is debouncing once", "[contacts]") {
    rc::prop("debounced(debounced(raw)) == debounced(raw)", [] {
        const double debounce_s = any_debounce_s();
        const auto once = debounced(debounce_s, any_raw());
        RC_CLASSIFY(once.size() > 3);
        RC_ASSERT(debounced(debounce_s, once) == once);
    });
}

TEST_CASE("edges alternate, rise in time and lie on raw changes", "[contacts]") {
    rc::prop("closed, open, closed …", [] {
        const double debounce_s = any_debounce_s();
        const auto raw = any_raw();
        const auto edges = debounced(debounce_s, raw);
        bool closed = false;
        double last_s = -1e300;
        for (const StableChange& edge : edges) {
            RC_ASSERT(edge.closed != closed);
            RC_ASSERT(edge.time_s - last_s >= debounce_s - 1e-7);
            const bool is_raw = std::find(raw.begin(), raw.end(), edge) != raw.end();
            RC_ASSERT(is_raw);
            closed = edge.closed;
            last_s = edge.time_s;
        }
        if (!raw.empty()) RC_ASSERT(closed == raw.back().closed);
    });
}

TEST_CASE("edges do not depend on when time was looked at, and none comes earlier than promised",
          "[contacts]") {
    rc::prop("the same edges with and without stamps in between", [] {
        const double debounce_s = any_debounce_s();
        const auto raw = any_raw();
        Debouncer debouncer(debounce_s);
        std::vector<StableChange> edges;
        double promised_s = -1e300;
        const auto keep = [&](const std::optional<StableChange>& edge) {
            if (edge) {
                RC_ASSERT(edge->time_s >= promised_s);
                edges.push_back(*edge);
            }
            RC_ASSERT(debouncer.known_until_s() >= promised_s);
            promised_s = debouncer.known_until_s();
        };
        for (std::size_t i = 0; i < raw.size(); ++i) {
            keep(debouncer.change(raw[i].time_s, raw[i].closed));
            const double next_s = i + 1 < raw.size() ? raw[i + 1].time_s : raw[i].time_s + 1.0;
            const int share = *rc::gen::inRange(0, 11);
            keep(debouncer.known_until(raw[i].time_s + (next_s - raw[i].time_s) * share / 10.0));
        }
        keep(debouncer.known_until(kNoEnd));
        RC_ASSERT(edges == debounced(debounce_s, raw));
    });
}

TEST_CASE("a closed stretch shorter than the minimum hold gives neither of its edges", "[contacts]") {
    CHECK(debounced(0.020, {{1.000, true}, {1.299, false}}, 0.300).empty());
    const auto edges = debounced(0.020, {{1.000, true}, {1.300, false}}, 0.300);
    REQUIRE(edges.size() == 2);
    CHECK(edges[0] == StableChange{1.000, true});
    CHECK(edges[1] == StableChange{1.300, false});
}

TEST_CASE("a bounce within a hold doesn't break it, an opening that settles does", "[contacts]") {
    const auto edges = debounced(0.020, {{1.000, true}, {1.100, false}, {1.110, true}, {2.0, false}}, 0.300);
    REQUIRE(edges.size() == 2);
    CHECK(edges[0] == StableChange{1.000, true});
    CHECK(debounced(0.020, {{1.0, true}, {1.1, false}, {1.2, true}, {1.4, false}}, 0.300).empty());
}

TEST_CASE("an opening needs the debounce alone, however long the minimum hold is", "[contacts]") {
    const auto edges = debounced(0.020, {{1.0, true}, {3.0, false}, {3.1, true}, {9.0, false}}, 0.300);
    REQUIRE(edges.size() == 4);
    CHECK(edges[1] == StableChange{3.0, false});
    CHECK(edges[2] == StableChange{3.1, true});
}

TEST_CASE("no edge is promised away while a hold is pending, and it comes as soon as it is sure",
          "[contacts]") {
    Debouncer debouncer(0.020, 0.300);
    debouncer.change(1.000, true);
    CHECK_FALSE(debouncer.known_until(1.299));
    CHECK(debouncer.known_until_s() == 1.000);
    CHECK_FALSE(debouncer.closed());
    const auto edge = debouncer.known_until(1.300);
    REQUIRE(edge);
    CHECK(*edge == StableChange{1.000, true});
    CHECK(debouncer.known_until_s() == 1.300);
    CHECK(debouncer.closed());
}

TEST_CASE("a hold that was pending when the input was lost is forgotten", "[contacts]") {
    Debouncer debouncer(0.020, 0.300);
    debouncer.change(1.000, true);
    debouncer.known_until(1.200);
    debouncer.lost();
    CHECK_FALSE(debouncer.known_until(5.000));
    debouncer.change(5.000, true);
    const auto edge = debouncer.known_until(6.000);
    REQUIRE(edge);
    CHECK(*edge == StableChange{5.000, true});
}

TEST_CASE("with a minimum hold too, clean edges come out as they went in, and closings are long enough",
          "[contacts]") {
    rc::prop("holding twice is holding once", [] {
        const double debounce_s = any_debounce_s();
        const double hold_s = *rc::gen::inRange(0, 150) / 1000.0;
        const auto once = debounced(debounce_s, any_raw(), hold_s);
        for (std::size_t i = 0; i < once.size(); ++i) {
            RC_ASSERT(once[i].closed == (i % 2 == 0));
            if (i % 2 == 1) RC_ASSERT(once[i].time_s - once[i - 1].time_s > hold_s - 1e-6);
        }
        RC_ASSERT(debounced(debounce_s, once, hold_s) == once);
    });
}
