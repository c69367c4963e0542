#include "daemon/passages/animal.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {
constexpr double kStillHeld = std::numeric_limits<double>::infinity();
}

void flag(Passage& passage, const char* what) {
    if (std::find(passage.flags.begin(), passage.flags.end(), what) == passage.flags.end()) {
        passage.flags.emplace_back(what);
    }
}

void take_body_held(Animal& animal, double time_s) {
    Passage& passage = animal.passage;
    if (!std::isnan(passage.body_held_s)) return;
    if (animal.has_stun() || !std::isnan(passage.held_s)) {
        flag(passage, "out_of_order");
    } else {
        passage.body_held_s = time_s;
    }
}

void take_held(Animal& animal, double time_s) {
    Passage& passage = animal.passage;
    if (animal.has_stun()) {
        if (std::isnan(passage.held_s)) flag(passage, "out_of_order");
        return;
    }
    if (!animal.holds.empty()) {
        if (animal.holds.back().end_s == kStillHeld) return; // its opening was not seen: the same hold
        flag(passage, "held_again");
    }
    animal.holds.push_back({time_s, kStillHeld});
    passage.held_s = time_s;
}

void take_head_freed(Animal& animal, double time_s) {
    if (animal.has_stun() || animal.holds.empty()) return;
    animal.holds.back().end_s = std::min(animal.holds.back().end_s, time_s);
}

void take_stun(Animal& animal, const Edge& edge) {
    Passage& passage = animal.passage;
    if (passage.stuns++ == 0) {
        passage.stunned_s = edge.time_s;
    } else if (edge.role == Role::kStunned) {
        flag(passage, "second_stun");
    }
    animal.last_stun_s = edge.time_s;
}

Phase phase_at(const Animal& animal, double onset_s, double at_stun_s) {
    const Passage& passage = animal.passage;
    if (animal.has_stun()) {
        if (onset_s > passage.stunned_s + at_stun_s) return Phase::kAfterStun;
        // Written as the look-ahead of placeable_until_s() is, so that rounding can't part the two.
        if (onset_s >= passage.stunned_s - at_stun_s) return Phase::kAtStun;
    }
    for (const Animal::Hold& hold : animal.holds) {
        if (hold.start_s <= onset_s && onset_s < hold.end_s) return Phase::kHeld;
    }
    return passage.body_held_s <= onset_s ? Phase::kBodyHeld : Phase::kEntry;
}

} // namespace quietpass
