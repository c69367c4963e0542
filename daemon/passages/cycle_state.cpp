#include "daemon/passages/cycle_state.h"

#include <cmath>

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

void CycleState::promote(Animal& candidate, double entered_s, double now_s, const char* flag_word) {
    book.promote(candidate, entered_s);
    flag(candidate.passage, flag_word);
    if (stops.stopped_at(entered_s)) {
        candidate.passage.excluded = "line_stopped";
    } else if (stops.began_within(entered_s, now_s)) {
        flag(candidate.passage, "line_stopped");
    }
}

void CycleState::end(Animal& animal, double end_s, End why) {
    Passage& passage = animal.passage;
    animal.open = false;
    passage.end_s = end_s;
    if (why == End::kInput) {
        flag(passage, "input_ended");
        // What it would have said until its stun was not heard: it must not pass for a quiet animal.
        if (stun_wired() && !animal.has_stun() && passage.excluded.empty()) passage.excluded = "input_ended";
        return;
    }
    if (why == End::kReleased) passage.released_s = end_s;
    const bool nothing_held = std::isnan(passage.body_held_s) && std::isnan(passage.held_s);
    if (!animal.has_stun() && nothing_held && end_s - passage.entered_s < settings.shortest_s) {
        flag(passage, "too_short");
        passage.excluded = "no_animal";
    } else if (!animal.has_stun() && stun_wired()) {
        flag(passage, "no_stun");
    }
    if (why == End::kTooLong) flag(passage, "too_long");
    if (why == End::kPassedBy && !animal.has_stun()) {
        flag(passage, "lost_in_line");
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
