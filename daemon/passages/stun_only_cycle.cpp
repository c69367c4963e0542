#include "daemon/passages/stun_only_cycle.h"

#include <algorithm>
#include <cmath>

#include "daemon/passages/box_cycle.h"

namespace quietpass {

StunOnlyCycle::StunOnlyCycle(CycleState& state)
    : state_(state),
      conveyor_(state.settings.kind == RestraintKind::kConveyor),
      release_used_(state.wired(Role::kReleased) && !conveyor_),
      second_stun_s_(conveyor_ ? state.settings.shortest_s : state.settings.after_stun_s) {}

void StunOnlyCycle::take(const Edge& edge) {
    if (!edge.closed) {
        if (edge.role == Role::kHeld && candidate_) take_head_freed(*candidate_, edge.time_s);
        return;
    }
    switch (edge.role) {
        case Role::kBodyHeld:
        case Role::kHeld:
            take_hold(edge);
            break;
        case Role::kStunned:
        case Role::kCut:
            take_stun(edge);
            break;
        case Role::kReleased:
            take_released(edge);
            break;
        case Role::kProdded:
            take_prod(edge.time_s);
            break;
        case Role::kEntered:
        case Role::kStopped:
            break;
    }
}

void StunOnlyCycle::take_hold(const Edge& edge) {
    const bool body = edge.role == Role::kBodyHeld;
    if (inside_) {
        if (edge.time_s - inside_->last_stun_s <= state_.settings.shortest_s) {
            body ? take_body_held(*inside_, edge.time_s) : take_held(*inside_, edge.time_s);
            return;
        }
        end_inside(edge.time_s, End::kNextAnimal);
    }
    if (candidate_ && body && !std::isnan(candidate_->passage.held_s)) drop_candidate();
    if (!candidate_) candidate_ = &state_.book.open_candidate(edge.time_s);
    candidate_->candidate_edges.push_back(edge);
    body ? take_body_held(*candidate_, edge.time_s) : take_held(*candidate_, edge.time_s);
}

void StunOnlyCycle::take_stun(const Edge& edge) {
    if (inside_ && edge.time_s - inside_->passage.stunned_s <= second_stun_s_) {
        state_.stun(*inside_, edge);
        return;
    }
    const double begin_s = std::min(edge.time_s, earliest_begin_s(edge.time_s));
    if (inside_) end_inside(begin_s, End::kNextAnimal);
    if (!candidate_) candidate_ = &state_.book.open_candidate(begin_s);
    inside_ = candidate_;
    candidate_ = nullptr;
    state_.promote(*inside_, begin_s, edge.time_s);
    state_.stun(*inside_, edge);
    inside_->passage.prods = static_cast<int>(
        std::count_if(prods_s_.begin(), prods_s_.end(), [&](double t) { return t >= begin_s; }));
    prods_s_.clear();
}

void StunOnlyCycle::take_released(const Edge& edge) {
    if (!release_used_) return;
    drop_candidate();
    if (inside_) {
        end_inside(edge.time_s, End::kReleased);
    } else {
        state_.stray(edge, "no animal in the restrainer");
    }
}

void StunOnlyCycle::take_prod(double time_s) {
    // Kept aside even after a stun: the next stun may show that the next animal was already in by now.
    if (inside_) ++inside_->passage.prods;
    const double reach_s = std::max(state_.settings.longest_s, state_.settings.entry_before_s);
    while (!prods_s_.empty() && prods_s_.front() < time_s - reach_s) prods_s_.pop_front();
    prods_s_.push_back(time_s);
}

void StunOnlyCycle::end_inside(double end_s, End why) {
    if (why == End::kNextAnimal) {
        const auto after_end =
            std::count_if(prods_s_.begin(), prods_s_.end(), [&](double t) { return t >= end_s; });
        inside_->passage.prods -= static_cast<int>(after_end);
    } else {
        prods_s_.clear();
    }
    state_.end(*inside_, end_s, why);
    last_end_s_ = end_s;
    inside_ = nullptr;
}

void StunOnlyCycle::drop_candidate() {
    if (candidate_) state_.drop(*candidate_);
    candidate_ = nullptr;
}

double StunOnlyCycle::earliest_begin_s(double time_s) const {
    double begin_s = time_s - state_.settings.entry_before_s;
    if (candidate_) begin_s = std::min(begin_s, candidate_->passage.entered_s);
    if (inside_)
        begin_s = std::max({begin_s, inside_->last_stun_s, inside_->passage.stunned_s + second_stun_s_});
    return std::max(begin_s, last_end_s_);
}

double StunOnlyCycle::next_due_s() const {
    if (candidate_) return candidate_->passage.entered_s + state_.settings.longest_s;
    if (!inside_) return kNotDue;
    return inside_->last_stun_s + (release_used_ ? state_.settings.longest_s : state_.settings.after_stun_s);
}

void StunOnlyCycle::fire(double due_s) {
    if (candidate_) {
        drop_candidate();
    } else {
        end_inside(due_s, release_used_ ? End::kTooLong : End::kAfterStun);
    }
}

void StunOnlyCycle::finish(double time_s) {
    drop_candidate();
    if (inside_) end_inside(time_s, End::kInput);
}

double StunOnlyCycle::placeable_until_s(double known_s) const {
    // What lies before the next passage's begin is in a stunned animal's passage or in none: both are final.
    return std::min(known_s, earliest_begin_s(known_s));
}

Cycle::Place StunOnlyCycle::place(double onset_s, MicrophoneZone) const {
    return place_among_single(state_, onset_s);
}

} // namespace quietpass
