// What holds for any edges and any calls at all: the desks that place calls and noises, over the cycle,
// without audio.
#include <catch2/catch.hpp>
#include <map>
#include <numeric>
#include <set>

#include "daemon/shifts/tally.h"
#include "daemon/station/call_desk.h"
#include "daemon/station/noise_desk.h"
#include "tests/passages/any_edges.h"
#include "tests/passages/random_edges.h"

namespace quietpass {
namespace {

StationSettings settings_of(const RandomStation& station) {
    StationSettings settings;
    settings.restraint = station.settings;
    settings.microphones.emplace_back().name = "head";
    for (const Role role : station.wired) settings.contacts.emplace_back().role = role;
    return settings;
}

TEST_CASE("Whatever the edges, each call and bang lies in one passage at most, and the counts add up") {
    holds_for_any_edges("calls, bangs and counts", [] {
        const RandomStation station = random_station();
        const StationSettings settings = settings_of(station);
        Cycle cycle(settings.restraint, station.wired);
        std::vector<StationMicrophone> microphones;
        microphones.emplace_back(settings.microphones[0], 16000.0, nullptr, settings.health);
        OriginTracer tracer(settings, nullptr, microphones, 60.0);
        NoiseDesk noises(settings, cycle, tracer, microphones);
        CallDesk calls(settings, cycle, tracer, noises, microphones);

        for (const Edge& edge : station.edges) {
            cycle.take(edge);
            noises.take(edge);
        }
        cycle.finish(station.end_s);
        std::int64_t cried = 0;
        for (double onset_s = -3.1; onset_s < station.end_s + 3;
             onset_s += *rc::gen::element(0.4, 1.3, 9.0)) {
            HeardCall heard;
            heard.start_s = onset_s;
            heard.end_s = onset_s + 0.2;
            if (*rc::gen::inRange(0, 4) == 0) heard.kind = CallKind::kGrunt;
            calls.add(heard, 0);
            noises.add({onset_s, onset_s, NoiseKind::kBang, -20.0}, 0);
            ++cried;
        }
        std::map<std::int64_t, int> counted;
        std::map<std::int64_t, int> after_stun;
        std::map<std::int64_t, int> bangs;
        Tally tally(settings);
        std::int64_t last_id = 0;
        calls.settle(1e12, 1e12, [&](const StationCall& call) {
            RC_ASSERT(call.id == ++last_id);
            RC_ASSERT(call.passage_id.has_value() == call.phase.has_value());
            if (call.counted) {
                RC_ASSERT(call.passage_id.has_value());
                RC_ASSERT(*call.phase != Phase::kAfterStun);
                ++counted[*call.passage_id];
            } else if (call.phase == Phase::kAfterStun && can_count(call.heard.kind)) {
                ++after_stun[*call.passage_id];
            }
            tally.add(call);
        });
        RC_ASSERT(last_id == cried);
        std::int64_t banged = 0;
        noises.settle(1e12, 1e12, [&](const StationNoise& noise) {
            ++banged;
            const bool held = noise.phase == Phase::kHeld ||
                              (noise.phase == Phase::kBodyHeld && !settings.has(Role::kHeld));
            if (held && !noise.by_equipment) ++bangs[*noise.passage_id];
        });
        RC_ASSERT(banged == cried);

        Passage passage;
        std::int64_t passages = 0;
        std::int64_t in_passages = 0;
        while (cycle.take_closed(passage)) {
            calls.count_into(passage);
            RC_ASSERT(passage.calls == counted[passage.id]);
            RC_ASSERT(passage.calls_after_stun == after_stun[passage.id]);
            RC_ASSERT(passage.vocal == (passage.calls > 0));
            RC_ASSERT(noises.take_bangs(passage.id) == bangs[passage.id]);
            in_passages += passage.calls;
            tally.add(passage);
            ++passages;
        }
        const ShiftRecord record = tally.record(0.0, station.end_s + 1);
        const auto sum = [](std::int64_t all, const auto& one) { return all + one.second; };
        RC_ASSERT(record.passages == passages);
        RC_ASSERT(record.scored +
                      std::accumulate(record.excluded.begin(), record.excluded.end(), std::int64_t{0}, sum) ==
                  passages);
        RC_ASSERT(record.vocal <= record.scored);
        RC_ASSERT(in_passages == std::accumulate(counted.begin(), counted.end(), std::int64_t{0}, sum));
        std::int64_t by_phase = 0;
        for (const PhaseCount& phase : record.by_phase) by_phase += phase.counted_calls;
        RC_ASSERT(by_phase <= in_passages);
        RC_ASSERT(record.in(Phase::kAfterStun).counted_calls == 0);
    });
}

} // namespace
} // namespace quietpass
