#include "tests/scenario/timeline.h"

#include <rapidcheck.h>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <set>

#include "daemon/failure.h"
#include "tests/scenario/scenario_file.h"

namespace quietpass::scenario {

namespace {

Scenario scenario_of(const std::string& text) {
    Scenario scenario = parse_scenario(text, "s.toml");
    scenario.recordings_folder = QUIETPASS_TESTDATA "/recordings";
    return scenario;
}

Timeline timeline_of(const Scenario& scenario, RecordingShelf& shelf) {
    return make_timeline(scenario, shelf);
}

std::vector<double> closings(const Timeline& timeline, Role role) {
    std::vector<double> times;
    for (const Edge& edge : timeline.edges) {
        if (edge.role == role && edge.closed) times.push_back(edge.time_s);
    }
    return times;
}

constexpr const char* kBusyBox = R"(
[shift]
passages = 25
prod_share = 0.4
second_stun_share = 0.2
roles = ["entered", "body_held", "held", "stunned", "released", "prodded", "stopped"]
[calls]
vocal_share = 0.32
after_stun_share = 0.12
[waiting]
per_hour = 60
[[line_stop]]
during_passage = 4
lasts_s = 20
[[line_stop]]
after_passage = 9
lasts_s = 40
)";

constexpr const char* kConveyor = R"(
[shift]
species = "pig"
kind = "conveyor"
passages = 40
line_rate_per_hour = 400
line_rate_jitter = 0.4
[calls]
vocal_share = 0.3
number_weights = [1]
[grunts]
share = 0.3
[[line_stop]]
after_passage = 11
lasts_s = 15
)";

} // namespace

TEST_CASE("contacts close exactly when truth says the animal got there, for any seed") {
    const bool box = GENERATE(true, false);
    Scenario scenario = scenario_of(box ? kBusyBox : kConveyor);
    RecordingShelf shelf(scenario);
    CHECK(rc::check([&] {
        scenario.seed = *rc::gen::inRange<std::uint64_t>(0, 1U << 30U);
        const Timeline timeline = timeline_of(scenario, shelf);
        std::map<Role, std::vector<double>> truth;
        for (const TruePassage& p : timeline.passages) {
            truth[Role::kEntered].push_back(p.entered_s);
            truth[Role::kBodyHeld].push_back(p.body_held_s);
            truth[Role::kHeld].push_back(p.held_s);
            truth[Role::kStunned].push_back(p.stunned_s);
            if (p.stuns() == 2) truth[Role::kStunned].push_back(p.second_stun_s);
            truth[Role::kReleased].push_back(p.released_s);
        }
        for (const auto& [role, times] : truth) RC_ASSERT(closings(timeline, role) == times);
        std::map<Role, bool> closed;
        double last = 0.0;
        for (const Edge& edge : timeline.edges) {
            RC_ASSERT(edge.time_s >= last);
            RC_ASSERT(edge.time_s <= timeline.length_s);
            RC_ASSERT(edge.closed != closed[edge.role]);
            closed[edge.role] = edge.closed;
            last = edge.time_s;
        }
        for (const auto& [role, is_closed] : closed) RC_ASSERT(!is_closed);
    }));
}

TEST_CASE("an animal goes through in order, and a box holds one at a time, for any seed") {
    Scenario scenario = scenario_of(kBusyBox);
    RecordingShelf shelf(scenario);
    CHECK(rc::check([&] {
        scenario.seed = *rc::gen::inRange<std::uint64_t>(0, 1U << 30U);
        double free_s = 0.0;
        for (const TruePassage& p : timeline_of(scenario, shelf).passages) {
            RC_ASSERT(p.entered_s > free_s);
            RC_ASSERT(p.entered_s < p.body_held_s);
            RC_ASSERT(p.body_held_s < p.held_s);
            RC_ASSERT(p.held_s < p.stunned_s);
            RC_ASSERT(p.stunned_s < p.released_s);
            if (p.stuns() == 2) RC_ASSERT((p.second_stun_s > p.stunned_s && p.second_stun_s < p.released_s));
            free_s = p.released_s;
        }
    }));
}

TEST_CASE("calls lie in the phase that truth names, clear of every border and of each other, for any seed") {
    const bool box = GENERATE(true, false);
    Scenario scenario = scenario_of(box ? kBusyBox : kConveyor);
    RecordingShelf shelf(scenario);
    CHECK(rc::check([&] {
        scenario.seed = *rc::gen::inRange<std::uint64_t>(0, 1U << 30U);
        const Timeline timeline = timeline_of(scenario, shelf);
        const double clear = scenario.border_clear_s - 0.001;
        double free_s = -60.0;
        for (const Cue& cue : timeline.cues) {
            if (cue.kind == CueKind::kDisturbance) continue;
            RC_ASSERT(cue.start_s > free_s + 1.0);
            free_s = cue.end_s;
            for (const TruePassage& p : timeline.passages) {
                for (const double border : {p.entered_s, p.body_held_s, p.held_s, p.stunned_s - 0.5,
                                            p.stunned_s + 0.5, p.released_s}) {
                    RC_ASSERT(std::abs(cue.start_s - border) >= clear);
                }
            }
            if (cue.passage == 0) continue;
            const TruePassage& p = timeline.passages[static_cast<std::size_t>(cue.passage - 1)];
            std::string phase = "entry";
            if (cue.start_s >= p.body_held_s) phase = "body_held";
            if (cue.start_s >= p.held_s) phase = "held";
            if (cue.start_s >= p.stunned_s - 0.5) phase = "at_stun";
            if (cue.start_s > p.stunned_s + 0.5) phase = "after_stun";
            RC_ASSERT(cue.phase == phase);
            RC_ASSERT((cue.start_s > p.entered_s && cue.start_s < p.released_s));
        }
    }));
}

TEST_CASE("counts add up: passages, vocal ones, counted calls and calls that never count") {
    for (const char* text : {kBusyBox, kConveyor}) {
        const Scenario scenario = scenario_of(text);
        RecordingShelf shelf(scenario);
        const Timeline timeline = timeline_of(scenario, shelf);
        std::map<int, int> counted;
        int after_stun = 0;
        for (const Cue& cue : timeline.cues) {
            if (cue.counted) ++counted[cue.passage];
            if (cue.phase == "after_stun" && cue.kind == CueKind::kCall) ++after_stun;
            CHECK(cue.counted == (cue.kind == CueKind::kCall && cue.phase != "after_stun"));
        }
        int vocal = 0;
        for (const TruePassage& p : timeline.passages) {
            CHECK(p.calls == counted[p.number]);
            vocal += p.vocal() ? 1 : 0;
        }
        CHECK(timeline.passages.size() == static_cast<std::size_t>(scenario.passages));
        CHECK(vocal == std::lround(scenario.calls.vocal_share * scenario.passages));
        CHECK(after_stun == std::lround(scenario.calls.after_stun_share * scenario.passages));
    }
}

TEST_CASE("only wired roles are in the contacts, and wiring moves no animal") {
    const Scenario all = scenario_of(kBusyBox);
    Scenario few = all;
    few.roles = {Role::kEntered, Role::kCut};
    RecordingShelf shelf(all);
    RecordingShelf other(all);
    const Timeline of_all = timeline_of(all, shelf);
    const Timeline of_few = timeline_of(few, other);
    std::set<Role> roles;
    for (const Edge& edge : of_few.edges) roles.insert(edge.role);
    CHECK(roles == std::set<Role>{Role::kEntered, Role::kCut});
    CHECK(closings(of_few, Role::kEntered) == closings(of_all, Role::kEntered));
    CHECK(closings(of_few, Role::kCut) == closings(of_all, Role::kStunned));
}

TEST_CASE("a line stop holds everything for its length and marks the animal that was in") {
    Scenario stopped = scenario_of(kBusyBox);
    Scenario running = stopped;
    running.line_stops.clear();
    RecordingShelf shelf(stopped);
    RecordingShelf other(stopped);
    const Timeline with = timeline_of(stopped, shelf);
    const Timeline without = timeline_of(running, other);
    REQUIRE(with.stops.size() == 2);
    CHECK(with.length_s == Approx(without.length_s + 60.0));
    CHECK(with.passages[3].stunned_s == Approx(without.passages[3].stunned_s + 20.0));
    CHECK(with.passages[3].held_s == Approx(without.passages[3].held_s));
    CHECK(with.passages[3].stopped);
    CHECK_FALSE(with.passages[8].stopped);
    CHECK(closings(with, Role::kStopped) ==
          std::vector<double>{with.stops[0].start_s, with.stops[1].start_s});
}

TEST_CASE("another number of disturbances moves neither passages nor calls") {
    const Scenario quiet = scenario_of(kBusyBox);
    const Scenario loud =
        scenario_of(std::string(kBusyBox) + "[[disturbance]]\nmade = \"bang\"\nat = \"prodded\"\n" +
                    "[[disturbance]]\nclass = \"dog\"\nper_hour = 90\n");
    RecordingShelf shelf(quiet);
    RecordingShelf other(loud);
    const Timeline a = timeline_of(quiet, shelf);
    const Timeline b = timeline_of(loud, other);
    std::vector<double> in_a;
    std::vector<double> in_b;
    int disturbances = 0;
    for (const Cue& cue : a.cues) in_a.push_back(cue.start_s);
    for (const Cue& cue : b.cues) {
        if (cue.kind == CueKind::kDisturbance)
            ++disturbances;
        else
            in_b.push_back(cue.start_s);
    }
    CHECK(in_a == in_b);
    CHECK(disturbances > 20);
}

TEST_CASE("random sounds keep clear of calls where the scenario says so") {
    const Scenario scenario = scenario_of(std::string(kBusyBox) +
                                          "[[disturbance]]\nmade = \"bang\"\nper_hour = 400\n"
                                          "jitter_s = 0\nclear_of_calls_s = 1\n");
    RecordingShelf shelf(scenario);
    const Timeline timeline = timeline_of(scenario, shelf);
    int bangs = 0;
    for (const Cue& sound : timeline.cues) {
        if (sound.kind != CueKind::kDisturbance) continue;
        ++bangs;
        for (const Cue& call : timeline.cues) {
            if (call.kind == CueKind::kDisturbance) continue;
            CHECK((sound.end_s < call.start_s - 1.0 || sound.start_s > call.end_s + 0.99));
        }
    }
    CHECK(bangs > 50);
}

TEST_CASE("bouncing contacts settle within ten milliseconds") {
    Scenario scenario = scenario_of(kBusyBox);
    scenario.bounce_share = 1.0;
    RecordingShelf shelf(scenario);
    const Timeline timeline = timeline_of(scenario, shelf);
    const std::vector<double> times = closings(timeline, Role::kEntered);
    REQUIRE(times.size() == 2 * timeline.passages.size());
    for (std::size_t i = 0; i < timeline.passages.size(); ++i) {
        CHECK(times[2 * i] == timeline.passages[i].entered_s);
        CHECK(times[2 * i + 1] - times[2 * i] < 0.010);
    }
}

TEST_CASE("a call that finds no room is refused by name") {
    const Scenario scenario = scenario_of(
        "[shift]\npassages = 2\nborder_clear_s = 4\n[[passage]]\nnumber = 2\n[[passage.call]]\nphase = "
        "\"held\"\n");
    RecordingShelf shelf(scenario);
    CHECK_THROWS_WITH(make_timeline(scenario, shelf),
                      Catch::Contains("no room for a call in passage 2 (held)"));
}

TEST_CASE("in the demonstration every call keeps 0.3 s from the borders, and each kind of event happens") {
    const Scenario scenario = read_scenario(QUIETPASS_TESTDATA "/demo/scenario.toml");
    CHECK(scenario.border_clear_s >= 0.3);
    RecordingShelf shelf(scenario);
    const Timeline timeline = make_timeline(scenario, shelf);
    std::set<std::string> phases;
    for (const Cue& cue : timeline.cues) {
        if (cue.kind == CueKind::kCall || cue.kind == CueKind::kWaiting) phases.insert(cue.phase);
    }
    CHECK(phases == std::set<std::string>{"entry", "body_held", "held", "at_stun", "after_stun", "waiting"});
    int second_stuns = 0;
    for (const TruePassage& p : timeline.passages) second_stuns += p.stuns() - 1;
    CHECK(second_stuns == 1);
    CHECK(timeline.stops.size() == 1);
    CHECK(timeline.length_s < 900.0);
}

} // namespace quietpass::scenario
