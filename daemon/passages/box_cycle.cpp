#include "daemon/passages/box_cycle.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

// The roles' order in the cycle.
int order_of(Role role) {
    if (role == Role::kBodyHeld) return 0;
    return role == Role::kHeld ? 1 : 2;
}

void enter_into(CycleState& state, Animal& animal, const Edge& edge) {
    if (edge.role == Role::kBodyHeld) {
        take_body_held(animal, edge.time_s);
    } else if (edge.role == Role::kHeld) {
        take_held(animal, edge.time_s);
    } else {
        state.stun(animal, edge);
    }
}

} // namespace

void BoxCycle::take(const Edge& edge) {
    if (!edge.closed) {
        if (edge.role == Role::kHeld && inside_) take_head_freed(*inside_, edge.time_s);
        return;
    }
    switch (edge.role) {
        case Role::kEntered:
            take_entered(edge.time_s);
            break;
        case Role::kBodyHeld:
        case Role::kHeld:
        case Role::kStunned:
        case Role::kCut:
            take_inner(edge);
            break;
        case Role::kReleased:
            take_released(edge);
            break;
        case Role::kProdded:
            take_prod(edge.time_s);
            break;
        case Role::kStopped:
            break;
    }
}

void BoxCycle::take_entered(double time_s) {
    drop_candidate();
    if (inside_) {
        if (is_same_animal(time_s)) {
            flag(inside_->passage, "double_entry");
            return;
        }
        state_.end(*inside_, time_s, End::kNextAnimal);
    }
    begin(state_.begin(time_s));
    inside_->passage.prods = prods_for(time_s);
}

// No contact told of the animal inside since its entry though some could have: no second one is made of that.
bool BoxCycle::is_same_animal(double time_s) const {
    const Passage& passage = inside_->passage;
    if (inside_->has_stun()) return false;
    if (time_s - passage.entered_s < state_.settings.shortest_s) return true;
    return state_.inner_wired() && std::isnan(passage.body_held_s) && std::isnan(passage.held_s);
}

void BoxCycle::begin(Animal& animal) {
    inside_ = &animal;
    stood_s_ = state_.stops.stood_s(animal.passage.entered_s);
}

void BoxCycle::take_prod(double time_s) {
    const bool gone = inside_ && inside_->has_stun() && !state_.wired(Role::kReleased);
    if (inside_ && !inside_->candidate && !gone) {
        ++inside_->passage.prods;
        return;
    }
    const double reach_s = state_.settings.entry_before_s + state_.settings.longest_s;
    while (!waiting_prods_s_.empty() && waiting_prods_s_.front() < time_s - reach_s)
        waiting_prods_s_.pop_front();
    waiting_prods_s_.push_back(time_s);
}

int BoxCycle::prods_for(double entered_s) {
    const auto since = std::lower_bound(waiting_prods_s_.begin(), waiting_prods_s_.end(),
                                        entered_s - state_.settings.entry_before_s);
    const auto prods = static_cast<int>(waiting_prods_s_.end() - since);
    waiting_prods_s_.clear();
    return prods;
}

void BoxCycle::take_inner(const Edge& edge) {
    if (inside_ && inside_->candidate) {
        if (order_of(edge.role) > order_of(inside_->candidate_edges.back().role)) {
            state_.promote(*inside_, inside_->passage.entered_s, edge.time_s);
            inside_->passage.prods = prods_for(inside_->passage.entered_s);
        } else {
            drop_candidate();
        }
    }
    if (inside_) {
        enter_into(state_, *inside_, edge);
    } else if (order_of(edge.role) == order_of(Role::kStunned)) {
        state_.stray(edge, "no animal in the restrainer");
    } else {
        begin(state_.book.open_candidate(edge.time_s));
        inside_->candidate_edges.push_back(edge);
        enter_into(state_, *inside_, edge);
    }
}

void BoxCycle::take_released(const Edge& edge) {
    drop_candidate();
    if (!inside_) {
        state_.stray(edge, "no animal in the restrainer");
        return;
    }
    state_.end(*inside_, edge.time_s, End::kReleased);
    inside_ = nullptr;
}

void BoxCycle::drop_candidate() {
    if (!inside_ || !inside_->candidate) return;
    state_.drop(*inside_);
    inside_ = nullptr;
}

double BoxCycle::after_stun_due_s() const {
    if (!inside_->has_stun() || state_.wired(Role::kReleased)) return kNotDue;
    return inside_->last_stun_s + state_.settings.after_stun_s;
}

double BoxCycle::next_due_s() const {
    if (!inside_) return kNotDue;
    return std::min(state_.too_long_at_s(inside_->passage.entered_s, stood_s_), after_stun_due_s());
}

void BoxCycle::fire(double due_s) {
    if (inside_->candidate) {
        drop_candidate();
        return;
    }
    state_.end(*inside_, due_s, after_stun_due_s() <= due_s ? End::kAfterStun : End::kTooLong);
    inside_ = nullptr;
}

void BoxCycle::finish(double time_s) {
    drop_candidate();
    if (inside_) state_.end(*inside_, time_s, End::kInput);
    inside_ = nullptr;
}

double BoxCycle::placeable_until_s(double known_s) const {
    if (!inside_ || inside_->has_stun()) return known_s;
    if (inside_->candidate) return inside_->passage.entered_s;
    if (!state_.stun_wired()) return known_s;
    return std::max(inside_->passage.entered_s, known_s - state_.settings.at_stun_s);
}

Cycle::Place BoxCycle::place(double onset_s, MicrophoneZone) const {
    return place_among_single(state_, onset_s);
}

Cycle::Place place_among_single(const CycleState& state, double onset_s) {
    Cycle::Place place;
    state.book.visit_at(onset_s, [&](const Animal& animal) {
        place.passage_id = animal.passage.id;
        place.phase = phase_at(animal, onset_s, state.settings.at_stun_s);
        place.passage_entered_s = animal.passage.entered_s;
        place.reason = "the animal in the restrainer";
    });
    return place;
}

} // namespace quietpass
