// What holds for any edges at all, of any subset of roles, in a box and on a conveyor. QUIETPASS_SEQUENCES
// says how many random sequences each property is held against (any_edges.h).
#include <rapidcheck.h>

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "tests/passages/any_edges.h"

#include "tests/passages/random_edges.h"
#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

constexpr std::array kZones = {MicrophoneZone::kAll, MicrophoneZone::kEntry, MicrophoneZone::kStun};
constexpr double kOnsetStep_s = 0.35;

// All that is said about one moment by the microphones of the three zones.
std::string places_at(const Cycle& cycle, double onset_s) {
    std::string said;
    for (const MicrophoneZone zone : kZones) {
        said += placed(cycle, onset_s, zone) + " (" + cycle.place(onset_s, zone).reason + ") ";
    }
    return said;
}

bool does_not_overlap(const RandomStation& station) {
    const bool entered = std::count(station.wired.begin(), station.wired.end(), Role::kEntered) > 0;
    return station.settings.kind == RestraintKind::kBox || !entered;
}

Cycle fed_whole(const RandomStation& station) {
    Cycle cycle(station.settings, station.wired);
    for (const Edge& edge : station.edges) cycle.take(edge);
    cycle.finish(station.end_s);
    return cycle;
}

void check_passage(const Passage& passage) {
    double last_s = passage.entered_s;
    for (const double time_s : {passage.body_held_s, passage.held_s, passage.stunned_s, passage.released_s}) {
        if (std::isnan(time_s)) continue;
        RC_ASSERT(time_s >= last_s);
        last_s = time_s;
    }
    RC_ASSERT(passage.end_s >= last_s);
    RC_ASSERT((passage.stuns > 0) == !std::isnan(passage.stunned_s));
    RC_ASSERT(passage.prods >= 0);
}

// The phase said of a moment agrees with the passage's own times.
void check_place(const RandomStation& station, const Passage& passage, double onset_s, Phase phase) {
    RC_ASSERT(passage.entered_s <= onset_s);
    RC_ASSERT(onset_s < passage.end_s);
    const double from_stun_s = onset_s - passage.stunned_s;
    const double at_stun_s = station.settings.at_stun_s;
    const bool held_again = std::count(passage.flags.begin(), passage.flags.end(), "held_again") > 0;
    switch (phase) {
        case Phase::kAtStun:
            RC_ASSERT(std::abs(from_stun_s) <= at_stun_s + 1e-9);
            return;
        case Phase::kAfterStun:
            RC_ASSERT(from_stun_s > at_stun_s - 1e-9);
            return;
        case Phase::kHeld:
            RC_ASSERT(held_again || onset_s >= passage.held_s);
            break;
        case Phase::kBodyHeld:
            RC_ASSERT(onset_s >= passage.body_held_s);
            break;
        case Phase::kEntry:
            RC_ASSERT(!(onset_s >= passage.body_held_s));
            break;
    }
    RC_ASSERT(std::isnan(passage.stunned_s) || from_stun_s < -at_stun_s + 1e-9);
}

TEST_CASE(
    "Whatever the edges, passages come in order of entry, keep their times in order, and are no more than "
    "edges") {
    holds_for_any_edges("passages in order", [] {
        const RandomStation station = random_station();
        Cycle cycle = fed_whole(station);
        Outcome outcome;
        drain(cycle, outcome);
        std::int64_t last_id = 0;
        double last_entered_s = -1e9, last_end_s = -1e9;
        for (const Passage& passage : outcome.passages) {
            RC_ASSERT(passage.id == ++last_id);
            RC_ASSERT(passage.entered_s >= last_entered_s);
            if (does_not_overlap(station)) RC_ASSERT(passage.entered_s >= last_end_s);
            check_passage(passage);
            last_entered_s = passage.entered_s;
            last_end_s = passage.end_s;
        }
        const auto closings = std::count_if(station.edges.begin(), station.edges.end(),
                                            [](const Edge& edge) { return edge.closed; });
        RC_ASSERT(static_cast<std::ptrdiff_t>(outcome.passages.size() + outcome.strays.size()) <= closings);
    });
}

// Who is scored was seen to enter where entries are seen, to be stunned where stuns are, and by one contact
// more than the entry's where there is any.
void check_scored(const RandomStation& station, const Passage& passage) {
    const auto wired = [&](Role role) {
        return std::count(station.wired.begin(), station.wired.end(), role) > 0;
    };
    const bool stun_wired = wired(Role::kStunned) || wired(Role::kCut);
    const bool inner_wired =
        stun_wired || wired(Role::kBodyHeld) || wired(Role::kHeld) || wired(Role::kReleased);
    RC_ASSERT(std::count(passage.flags.begin(), passage.flags.end(), "entered_missing") == 0);
    if (stun_wired) RC_ASSERT(passage.stuns > 0);
    const bool entry_alone = passage.stuns == 0 && std::isnan(passage.body_held_s) &&
                             std::isnan(passage.held_s) && std::isnan(passage.released_s);
    RC_ASSERT(!(entry_alone && inner_wired));
}

TEST_CASE(
    "Whatever the edges, no quiet animal is made of an entry alone, nor of one whose entry or stun was "
    "missed") {
    holds_for_any_edges("scored passages were seen", [] {
        const RandomStation station = random_station();
        Cycle cycle = fed_whole(station);
        Outcome outcome;
        drain(cycle, outcome);
        for (const Passage& passage : outcome.passages) {
            if (passage.excluded.empty()) check_scored(station, passage);
        }
    });
}

TEST_CASE(
    "Whatever the edges, a moment lies in a passage that contains it, in a phase that its times allow") {
    holds_for_any_edges("places agree with passages", [] {
        const RandomStation station = random_station();
        Cycle cycle = fed_whole(station);
        Outcome outcome;
        drain(cycle, outcome);
        for (double onset_s = -20; onset_s < station.end_s + 1; onset_s += kOnsetStep_s) {
            const auto containing =
                std::count_if(outcome.passages.begin(), outcome.passages.end(),
                              [&](const Passage& p) { return p.entered_s <= onset_s && onset_s < p.end_s; });
            for (const MicrophoneZone zone : kZones) {
                const Cycle::Place place = cycle.place(onset_s, zone);
                RC_ASSERT(place.passage_id.has_value() == (containing > 0));
                RC_ASSERT(place.phase.has_value() == place.passage_id.has_value());
                if (!place.passage_id) continue;
                const Passage& passage = outcome.passages.at(static_cast<std::size_t>(*place.passage_id - 1));
                RC_ASSERT(place.passage_entered_s == passage.entered_s);
                check_place(station, passage, onset_s, *place.phase);
            }
        }
    });
}

TEST_CASE(
    "Whenever known_until is called, passages, strays and places are the same, and final as soon as said") {
    holds_for_any_edges("cutting changes nothing", [] {
        const RandomStation station = random_station();
        Cycle whole = fed_whole(station);
        Outcome expected;
        drain(whole, expected);

        Cycle cut(station.settings, station.wired);
        Outcome outcome;
        double onset_s = -20, last_placeable_s = -1e300;
        const auto look = [&] {
            const double placeable_s = cut.placeable_until_s();
            RC_ASSERT(placeable_s >= last_placeable_s);
            last_placeable_s = placeable_s;
            for (; onset_s < std::min(placeable_s, station.end_s + 1); onset_s += kOnsetStep_s) {
                RC_ASSERT(places_at(cut, onset_s) == places_at(whole, onset_s));
            }
            cut.forget_before(onset_s);
            drain(cut, outcome);
        };
        double known_s = 0.0;
        for (const Edge& edge : station.edges) {
            for (int cuts = *rc::gen::inRange(0, 3); cuts > 0; --cuts) {
                const double share = *rc::gen::element(0.0, 0.3, 1.0);
                known_s = std::min(edge.time_s, known_s + share * (edge.time_s - known_s));
                cut.known_until(known_s);
                look();
            }
            cut.take(edge);
            known_s = edge.time_s;
            if (*rc::gen::arbitrary<bool>()) look();
        }
        cut.finish(station.end_s);
        look();
        RC_ASSERT(lines_of(outcome) == lines_of(expected));
        RC_ASSERT(stray_lines_of(outcome) == stray_lines_of(expected));
        RC_ASSERT(outcome.stops == expected.stops);
    });
}

TEST_CASE("Memory stays small however long the station runs") {
    const RestraintKind kind = GENERATE(RestraintKind::kBox, RestraintKind::kConveyor);
    const bool entered = GENERATE(true, false);
    RestraintSettings settings;
    settings.kind = kind;
    std::vector<Role> wired = {Role::kHeld, Role::kStunned, Role::kReleased, Role::kStopped};
    if (entered) wired.push_back(Role::kEntered);
    Cycle cycle(settings, wired);
    Outcome outcome;
    std::size_t most = 0;
    for (int i = 0; i < 20000; ++i) {
        const double at_s = 30.0 * i;
        for (const Edge& edge :
             {Edge{at_s, Role::kEntered, true}, Edge{at_s + 10, Role::kHeld, true},
              Edge{at_s + 12, Role::kHeld, false}, Edge{at_s + 15, Role::kStunned, true},
              Edge{at_s + 20, Role::kReleased, true}, Edge{at_s + 21, Role::kStopped, true},
              Edge{at_s + 22, Role::kStopped, false}}) {
            if (entered || edge.role != Role::kEntered) cycle.take(edge);
        }
        outcome = {};
        drain(cycle, outcome);
        cycle.forget_before(at_s);
        most = std::max(most, cycle.remembered());
    }
    CHECK(most <= 4);
}

} // namespace
} // namespace quietpass
