#include "daemon/passages/cycle_state.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

CycleState::CycleState(const RestraintSettings& restraint, std::span<const Role> wired_roles)
    : settings(restraint) {
    for (const Role role : wired_roles) wired_ |= 1u << static_cast<unsigned>(role);
}

bool CycleState::wired(Role role) const {
    return (wired_ >> static_cast<unsigned>(role) & 1u) != 0;
}

Animal& CycleState::begin(double entered_s) {
    Animal& animal = book.open_passage(entered_s);
    if (stops.stopped_at(entered_s)) animal.passage.excluded = "line_stopped";
    return animal;
}

void CycleState::promote(Animal& candidate, double entered_s, double now_s) {
    book.promote(candidate, entered_s);
    const bool entry_missed = wired(Role::kEntered);
    flag(candidate.passage, entry_missed ? "entered_missing" : "entry_assumed");
    if (stops.stopped_at(entered_s)) {
        candidate.passage.excluded = "line_stopped";
    } else if (stops.began_within(entered_s, now_s)) {
        flag(candidate.passage, "line_stopped");
    }
    if (entry_missed && candidate.passage.excluded.empty()) candidate.passage.excluded = "entry_not_seen";
}

double CycleState::too_long_at_s(double since_s, double stood_s) const {
    double standing_s = settings.longest_s; // a stop that lasts may come to this
    if (!stops.stopped_now()) {
        standing_s =
            std::min(settings.longest_s, stops.stood_s(std::numeric_limits<double>::max()) - stood_s);
    }
    return since_s + settings.longest_s + standing_s;
}

void CycleState::end(Animal& animal, double end_s, End why) {
    Passage& passage = animal.passage;
    animal.open = false;
    passage.end_s = end_s;
    const auto exclude = [&passage](const char* reason) {
        if (passage.excluded.empty()) passage.excluded = reason;
    };
    const bool nothing_held = std::isnan(passage.body_held_s) && std::isnan(passage.held_s);
    // Nobody told of its stun or release, or of anything but its entry: it must not pass for a quiet animal.
    const bool untold =
        !animal.has_stun() && (stun_wired() || wired(Role::kReleased) || (nothing_held && inner_wired()));
    if (why == End::kInput) {
        flag(passage, "input_ended");
        if (untold) exclude("input_ended");
        return;
    }
    if (why == End::kReleased) passage.released_s = end_s;
    if (!animal.has_stun() && nothing_held && end_s - passage.entered_s < settings.shortest_s) {
        flag(passage, "too_short");
        passage.excluded = "no_animal";
    } else if (!animal.has_stun() && stun_wired()) {
        flag(passage, "no_stun");
        // What it said after its stun, if it had one, can't be told from what it said before.
        if (why != End::kTooLong) exclude("stun_not_seen");
    }
    if (why == End::kTooLong && untold) exclude("too_long");
    if (why == End::kTooLong) flag(passage, "too_long");
    if (why == End::kPassedBy && !animal.has_stun()) {
        flag(passage, "lost_in_line");
        if (untold) exclude("release_not_seen");
    } else if (why != End::kReleased && wired(Role::kReleased)) {
        flag(passage, "never_released");
    }
}

void CycleState::drop(Animal& candidate) {
    for (const Edge& edge : candidate.candidate_edges) stray(edge, "no second edge told of an animal");
    book.drop(candidate);
}

void CycleState::stun(Animal& animal, const Edge& edge) {
    take_stun(animal, edge);
    const Passage& passage = animal.passage;
    if (passage.stuns < 2 || edge.role != Role::kStunned) return;
    const bool numbered = passage.id != 0;
    second_stuns.push_back(
        {numbered ? std::optional(passage.id) : std::nullopt, passage.stunned_s, edge.time_s, passage.stuns});
}

void CycleState::take_stopped(const Edge& edge) {
    if (!stops.take(edge.time_s, edge.closed) || !edge.closed) return;
    book.visit_open([](Animal& animal) {
        if (animal.passage.excluded.empty()) flag(animal.passage, "line_stopped");
    });
}

} // namespace quietpass
