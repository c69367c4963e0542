#include "daemon/passages/cycle.h"

#include <algorithm>
#include <limits>

#include "daemon/failure.h"
#include "daemon/passages/box_cycle.h"
#include "daemon/passages/conveyor_cycle.h"
#include "daemon/passages/cycle_rules.h"
#include "daemon/passages/cycle_state.h"
#include "daemon/passages/stun_only_cycle.h"

namespace quietpass {

namespace {

std::unique_ptr<CycleRules> rules_for(CycleState& state) {
    if (!state.wired(Role::kEntered)) {
        if (!state.stun_wired()) {
            throw Failure(kExitUsage,
                          "station file: no [[contact]] tells of an animal; add one with role \"entered\", "
                          "\"stunned\" or \"cut\"");
        }
        return std::make_unique<StunOnlyCycle>(state);
    }
    if (state.settings.kind == RestraintKind::kConveyor) return std::make_unique<ConveyorCycle>(state);
    return std::make_unique<BoxCycle>(state);
}

} // namespace

struct Cycle::Parts {
    Parts(const RestraintSettings& settings, std::span<const Role> wired)
        : state(settings, wired), rules(rules_for(state)) {}

    void advance(double time_s) {
        for (double due_s = rules->next_due_s(); due_s <= time_s; due_s = rules->next_due_s())
            rules->fire(due_s);
        known_s = std::max(known_s, time_s);
    }

    CycleState state;
    std::unique_ptr<CycleRules> rules;
    double known_s = -std::numeric_limits<double>::infinity();
    bool finished = false;
};

Cycle::Cycle(const RestraintSettings& settings, std::span<const Role> wired)
    : parts_(std::make_unique<Parts>(settings, wired)) {}
Cycle::~Cycle() = default;
Cycle::Cycle(Cycle&&) noexcept = default;
Cycle& Cycle::operator=(Cycle&&) noexcept = default;

void Cycle::take(const Edge& edge) {
    CycleState& state = parts_->state;
    // Written so that a time that is not a number is refused too.
    if (parts_->finished || !(edge.time_s >= parts_->known_s)) {
        state.stray(edge, "came too late: later times were already decided");
        return;
    }
    parts_->advance(edge.time_s);
    if (!state.wired(edge.role)) {
        state.stray(edge, "its role is not wired");
    } else if (edge.role == Role::kStopped) {
        state.take_stopped(edge);
    } else if (edge.role != Role::kCut || !state.wired(Role::kStunned)) {
        parts_->rules->take(edge);
    }
}

void Cycle::known_until(double time_s) {
    if (!parts_->finished) parts_->advance(time_s);
}

void Cycle::finish(double time_s) {
    if (parts_->finished) return;
    parts_->advance(time_s);
    parts_->rules->finish(parts_->known_s);
    parts_->state.stops.finish(parts_->known_s);
    parts_->finished = true;
}

Cycle::Place Cycle::place(double onset_s, MicrophoneZone zone) const {
    Place place = parts_->rules->place(onset_s, zone);
    if (!place.passage_id) {
        place.reason =
            parts_->state.stops.stopped_at(onset_s) ? "line stopped" : "no animal in the restrainer";
    }
    return place;
}

double Cycle::placeable_until_s() const {
    if (parts_->finished) return std::numeric_limits<double>::infinity();
    return parts_->rules->placeable_until_s(parts_->known_s);
}

bool Cycle::take_closed(Passage& out) {
    return parts_->state.book.take_closed(out);
}

bool Cycle::take_stray(Edge& edge, const char*& why) {
    auto& strays = parts_->state.strays;
    if (strays.empty()) return false;
    edge = strays.front().first;
    why = strays.front().second;
    strays.pop_front();
    return true;
}

bool Cycle::take_second_stun(SecondStun& out) {
    auto& second_stuns = parts_->state.second_stuns;
    if (second_stuns.empty()) return false;
    out = second_stuns.front();
    second_stuns.pop_front();
    return true;
}

bool Cycle::take_stop(double& start_s, double& end_s) {
    return parts_->state.stops.take_stop(start_s, end_s);
}

void Cycle::forget_before(double time_s) {
    const double decided_s = std::min(time_s, placeable_until_s());
    parts_->state.book.forget_before(decided_s);
    parts_->state.stops.forget_before(decided_s);
}

std::size_t Cycle::remembered() const {
    return parts_->state.book.size();
}

} // namespace quietpass
