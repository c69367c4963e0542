#include "daemon/hearing/call_merger.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <random>
#include <vector>

using namespace quietpass;

namespace {

constexpr double kEnd = std::numeric_limits<double>::infinity();

HeardCall heard(double start_s, double end_s, double level_db = -30.0) {
    HeardCall call;
    call.start_s = start_s;
    call.end_s = end_s;
    call.level_db = level_db;
    return call;
}

std::optional<TracedOrigin> nothing_known(const HeardCall&, std::size_t) {
    return std::nullopt;
}

CallMerger::Trace by_microphone(std::vector<Origin> origins, std::vector<double> clear_db = {}) {
    return [=](const HeardCall&, std::size_t microphone) -> std::optional<TracedOrigin> {
        TracedOrigin traced;
        traced.judgement.origin = origins[microphone];
        if (!clear_db.empty()) traced.clear_db = clear_db[microphone];
        return traced;
    };
}

std::vector<MicrophoneCall> all_of(CallMerger& merger) {
    merger.settle(kEnd);
    std::vector<MicrophoneCall> calls;
    MicrophoneCall call;
    while (merger.take(kEnd, call)) calls.push_back(call);
    return calls;
}

} // namespace

TEST_CASE("hearings that share half of the shorter are one call, the louder where nothing else is known") {
    CallMerger merger(2, nothing_known);
    merger.add(heard(1.0, 2.0, -40.0), 0);
    merger.add(heard(1.02, 2.1, -30.0), 1);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 1);
    CHECK(calls[0].microphone == 1);
    CHECK(calls[0].heard.start_s == 1.02);
}

TEST_CASE("the clearest hearing is named, not the loudest, where clearness is known") {
    CallMerger merger(2, by_microphone({Origin::kRestraint, Origin::kRestraint}, {12.0, 5.0}));
    merger.add(heard(1.0, 2.0, -40.0), 0);
    merger.add(heard(1.02, 2.1, -30.0), 1);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 1);
    CHECK(calls[0].microphone == 0);
}

TEST_CASE("whether a call counts is taken from the microphone at the restraint, were another clearer") {
    const bool squeal_at_restraint = GENERATE(true, false);
    const auto trace = [](const HeardCall&, std::size_t microphone) -> std::optional<TracedOrigin> {
        TracedOrigin traced;
        traced.far = 1;
        traced.clear_db = microphone == 1 ? 15.0 : 8.0;
        return traced;
    };
    CallMerger merger(2, trace);
    HeardCall squeal = heard(1.0, 2.0);
    squeal.kind = CallKind::kSqueal;
    HeardCall grunt = heard(1.1, 1.6);
    grunt.kind = CallKind::kGrunt;
    merger.add(squeal, squeal_at_restraint ? 0 : 1);
    merger.add(grunt, squeal_at_restraint ? 1 : 0);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 1);
    CHECK(calls[0].microphone == 0);
    CHECK(can_count(calls[0].heard.kind) == squeal_at_restraint);
}

TEST_CASE("hearings that only touch, or of one microphone, stay calls of their own") {
    CallMerger merger(2, nothing_known);
    merger.add(heard(1.0, 2.0), 0);
    merger.add(heard(1.8, 3.0), 1);
    merger.add(heard(3.5, 4.0), 0);
    merger.add(heard(3.6, 4.0), 0);
    CHECK(all_of(merger).size() == 4);
}

TEST_CASE("two pieces at one microphone and the whole at another are one call") {
    CallMerger merger(2, nothing_known);
    merger.add(heard(1.0, 4.0, -20.0), 0);
    merger.add(heard(1.0, 2.0), 1);
    merger.add(heard(2.6, 4.0), 1);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 1);
    CHECK(calls[0].microphone == 0);
}

TEST_CASE("a restrained and a waiting animal that cry at once stay two calls") {
    CallMerger merger(2, by_microphone({Origin::kRestraint, Origin::kWaiting}));
    merger.add(heard(1.0, 2.0, -40.0), 0);
    merger.add(heard(1.02, 2.1, -30.0), 1);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 2);
    CHECK(calls[0].microphone == 0);
    CHECK(calls[0].origin->judgement.origin == Origin::kRestraint);
    CHECK(calls[1].origin->judgement.origin == Origin::kWaiting);
}

TEST_CASE("a hearing in doubt goes with what the other is sure of") {
    CallMerger merger(2, by_microphone({Origin::kUnknown, Origin::kWaiting}, {3.0, 12.0}));
    merger.add(heard(1.0, 2.0), 0);
    merger.add(heard(1.02, 2.1), 1);
    const auto calls = all_of(merger);
    REQUIRE(calls.size() == 1);
    CHECK(calls[0].origin->judgement.origin == Origin::kWaiting);
}

TEST_CASE("a call waits for what another microphone may still bring, and for no longer") {
    CallMerger merger(2, nothing_known);
    MicrophoneCall call;
    merger.add(heard(1.0, 2.0), 0);
    merger.settle(1.9);
    CHECK_FALSE(merger.take(kEnd, call));
    CHECK(merger.earliest_s() == 1.0);
    merger.settle(2.01);
    REQUIRE(merger.take(kEnd, call));
    CHECK(merger.earliest_s() == kEnd);

    CallMerger alone(1, nothing_known);
    alone.add(heard(1.0, 2.0), 0);
    alone.settle(1.01);
    CHECK_FALSE(alone.take(0.5, call));
    CHECK(alone.take(1.01, call));
}

TEST_CASE("calls come in order of onset, the same however microphones bring them and settling goes on") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> between(0.0, 1.0);
    for (int round = 0; round < 50; ++round) {
        std::vector<std::pair<HeardCall, std::size_t>> hearings;
        for (std::size_t microphone = 0; microphone < 3; ++microphone) {
            double at_s = 0.0;
            for (int n = 0; n < 30; ++n) {
                at_s += 0.05 + 2.0 * between(random);
                const double end_s = at_s + 0.2 + 1.5 * between(random);
                hearings.emplace_back(heard(at_s, end_s, -60.0 * between(random)), microphone);
                at_s = end_s;
            }
        }
        CallMerger at_once(3, nothing_known);
        for (const auto& [call, microphone] : hearings) at_once.add(call, microphone);
        const auto expected = all_of(at_once);
        REQUIRE(std::is_sorted(expected.begin(), expected.end(), [](const auto& a, const auto& b) {
            return a.heard.start_s < b.heard.start_s;
        }));

        // Step by step: each hearing comes once time has gone past its end.
        CallMerger in_steps(3, nothing_known);
        std::vector<MicrophoneCall> got;
        MicrophoneCall call;
        std::vector<bool> given(hearings.size(), false);
        for (double now_s = 0.0; now_s < 200.0; now_s += 0.1 + between(random)) {
            double settled_s = now_s;
            for (std::size_t i = 0; i < hearings.size(); ++i) {
                if (given[i]) continue;
                if (hearings[i].first.end_s <= now_s) {
                    in_steps.add(hearings[i].first, hearings[i].second);
                    given[i] = true;
                } else {
                    settled_s = std::min(settled_s, hearings[i].first.start_s);
                }
            }
            in_steps.settle(settled_s);
            while (in_steps.take(now_s, call)) got.push_back(call);
        }
        for (const MicrophoneCall& rest : all_of(in_steps)) got.push_back(rest);
        REQUIRE(got.size() == expected.size());
        for (std::size_t i = 0; i < got.size(); ++i) {
            CHECK(got[i].microphone == expected[i].microphone);
            CHECK(got[i].heard.start_s == expected[i].heard.start_s);
        }
    }
}
