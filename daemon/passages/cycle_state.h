// What box, conveyor and stun-only rules work on together, and the ways they have in common of beginning and
// ending a passage. Times are station seconds. Not thread-safe.
#pragma once

#include <deque>
#include <span>
#include <utility>

#include "daemon/contacts/edge.h"
#include "daemon/passages/animal.h"
#include "daemon/passages/line_stops.h"
#include "daemon/passages/passage_book.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

// Why a passage ended where it did.
enum class End {
    kReleased,
    kNextAnimal, // the next one entered
    kAfterStun,  // no `released` contact: a set time after the stun
    kTooLong,
    kPassedBy, // conveyor: one behind it was stunned or released
    kInput,    // the input ended
};

struct CycleState {
    CycleState(const RestraintSettings& restraint, std::span<const Role> wired_roles);

    bool wired(Role role) const;
    bool stun_wired() const { return wired(Role::kStunned) || wired(Role::kCut); }
    // A contact beyond the entry tells of the animals: an entry alone is then not enough to be scored.
    bool inner_wired() const {
        return stun_wired() || wired(Role::kReleased) || wired(Role::kBodyHeld) || wired(Role::kHeld);
    }

    Animal& begin(double entered_s);
    // The candidate was an animal that went in at entered_s; now_s is the time of the edge that told. Where
    // entries are seen, this one's was missed: what it said before its first edge is nobody's, so it is not
    // scored ("entry_not_seen").
    void promote(Animal& candidate, double entered_s, double now_s);
    // When an animal that was first seen at since_s has been inside for longest_s. Time that the line stands
    // doesn't count, but no more than longest_s of it. stood_s: LineStops::stood_s(since_s), taken then.
    double too_long_at_s(double since_s, double stood_s) const;
    void end(Animal& animal, double end_s, End why);
    // The candidate was no animal: its edges are strays.
    void drop(Animal& candidate);
    void stray(const Edge& edge, const char* why) { strays.emplace_back(edge, why); }
    void take_stopped(const Edge& edge);
    void stun(Animal& animal, const Edge& edge); // kStunned or kCut

    RestraintSettings settings;
    PassageBook book;
    LineStops stops;
    std::deque<std::pair<Edge, const char*>> strays;
    std::deque<SecondStun> second_stuns;

  private:
    unsigned wired_ = 0; // a bit a role
};

} // namespace quietpass
