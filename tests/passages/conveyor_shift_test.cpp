// Lost and doubled edges over a whole shift of a conveyor must not shift the animals behind them.
#include <catch2/catch.hpp>

#include <cmath>

#include "daemon/passages/cycle.h"
#include "tests/passages/conveyor_shift.h"
#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

struct Result {
    int passages = 0;
    int right_stuns = 0;     // of the animals whose entry and stun were both seen
    int seen = 0;
    int longest_wrong_run = 0;  // animals in a row
    std::size_t most_remembered = 0;
    Outcome outcome;
};

Result result_of(const ConveyorShift& shift, bool released_wired) {
    RestraintSettings settings;
    settings.kind = RestraintKind::kConveyor;
    std::vector<Role> wired = {Role::kEntered, Role::kStunned, Role::kStopped};
    if (released_wired) wired.push_back(Role::kReleased);
    Cycle cycle(settings, wired);
    Result result;
    for (const Edge& edge : shift.edges) {
        if (edge.role == Role::kReleased && !released_wired) continue;
        cycle.take(edge);
        drain(cycle, result.outcome);
        cycle.forget_before(edge.time_s - 10);
        result.most_remembered = std::max(result.most_remembered, cycle.remembered());
    }
    cycle.finish(shift.end_s);
    drain(cycle, result.outcome);
    std::map<double, double> found;
    for (const Passage& passage : result.outcome.passages) {
        result.passages += passage.excluded == "no_animal" ? 0 : 1;
        if (!std::isnan(passage.stunned_s)) found[passage.stunned_s] = passage.entered_s;
    }
    int wrong_run = 0;
    for (const auto& [stun_s, entry_s] : shift.entry_of_stun) {
        const auto match = found.find(stun_s);
        const bool right = match != found.end() && match->second == entry_s;
        result.right_stuns += right ? 1 : 0;
        wrong_run = right ? 0 : wrong_run + 1;
        result.longest_wrong_run = std::max(result.longest_wrong_run, wrong_run);
        ++result.seen;
    }
    return result;
}

void report(const char* what, const Result& result) {
    WARN(what << ": " << result.passages << " passages, right stuns " << result.right_stuns << " of " << result.seen
              << ", longest wrong run " << result.longest_wrong_run << ", strays " << result.outcome.strays.size()
              << ", most remembered " << result.most_remembered);
}

TEST_CASE("Of 2,000 animals with 1 % lost and 1 % doubled edges, all but 1 % are counted and 97 % of stuns are right") {
    const std::uint32_t seed = GENERATE(1u, 2u, 3u, 4u, 5u, 6u);
    const bool released_wired = GENERATE(true, false);
    const Result result = result_of(ConveyorShift({}, seed), released_wired);
    CAPTURE(seed, released_wired);
    report("shift", result);
    CHECK(std::abs(result.passages - 2000) <= 20);
    CHECK(result.right_stuns >= 0.97 * result.seen);
    CHECK(result.longest_wrong_run <= 5);
    CHECK(result.most_remembered < 40);
}

}  // namespace
}  // namespace quietpass
