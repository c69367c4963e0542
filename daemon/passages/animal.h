// An animal whose passage is being followed: the passage so far, and what is needed to place calls and decide
// its end. The functions hold what box and conveyor share: how a contact's closing is entered into a passage,
// so that entered_s ≤ body_held_s ≤ held_s ≤ stunned_s always, a time that would break the order being left
// out and flagged. Times are station seconds.
#pragma once

#include <vector>

#include "daemon/contacts/edge.h"
#include "daemon/passages/passage.h"

namespace quietpass {

struct Animal {
    // A stretch with the head held. end_s is +infinity while it lasts.
    struct Hold {
        double start_s;
        double end_s;
    };

    Passage passage;
    bool candidate = false; // not yet known to be an animal: only edges of the inner cycle were seen
    bool open = true;
    bool kept_back = false; // its passage has ended, but may still change
    double last_stun_s = kNever;
    std::vector<Hold> holds;           // before the stun
    std::vector<Edge> candidate_edges; // to be given back as strays if it was no animal
    double line_place = 0.0;           // conveyor: smaller is nearer the stun

    bool has_stun() const { return passage.stuns > 0; }
};

void flag(Passage& passage, const char* what); // once each

// Closings of the contacts. A body hold counts from its first closing. The head's hold is the last that began
// before the stun; earlier ones are flagged "held_again". A hold after the stun, or a body hold after the
// head's, is "out_of_order" if there was none before.
void take_body_held(Animal& animal, double time_s);
void take_held(Animal& animal, double time_s);
void take_head_freed(Animal& animal, double time_s);
void take_stun(Animal& animal, const Edge& edge); // kStunned or kCut

// The phase of a moment within the passage. Calls within at_stun_s of the first stun, before or after, are at
// it. Between two holds of the head the phase is what it was before the first.
Phase phase_at(const Animal& animal, double onset_s, double at_stun_s);

} // namespace quietpass
