// The rules of a box with an `entered` contact: one animal at a time.
//
// `entered` while an animal is inside that was not stunned is the same one's ("double_entry") within
// shortest_s of its entry, and later too where any other contact tells of animals and none did of this one: a
// gate that bounces or a wire that broke must not make quiet animals. Otherwise the old passage ends there.
// Without `entered`, two different edges in the order of the cycle (body_held, held, stunned or cut), no more
// than longest_s apart, are an animal that went in at the first of them ("entered_missing", not scored:
// "entry_not_seen"); a lone one is a stray.
//
// longest_s after its entry a passage ends; a stopped line lengthens that, but no more than twofold.
//
// Prods while nobody is in are the next animal's, those of the last entry_before_s before its entry: they get
// it in, and the gate closes behind it; so much earlier is how long an animal is taken to have been on its
// way where entries are not seen. Without a `released` contact the last animal is taken to be gone for that
// once it was stunned.
#pragma once

#include <deque>

#include "daemon/passages/cycle_rules.h"
#include "daemon/passages/cycle_state.h"

namespace quietpass {

class BoxCycle final : public CycleRules {
  public:
    explicit BoxCycle(CycleState& state) : state_(state) {}

    void take(const Edge& edge) override;
    double next_due_s() const override;
    void fire(double due_s) override;
    void finish(double time_s) override;
    double placeable_until_s(double known_s) const override;
    Cycle::Place place(double onset_s, MicrophoneZone zone) const override;

  private:
    void take_entered(double time_s);
    bool is_same_animal(double time_s) const;
    void begin(Animal& animal);
    void take_prod(double time_s);
    int prods_for(double entered_s);   // of those that wait; the others are nobody's
    void take_inner(const Edge& edge); // body_held, held, stunned or cut
    void take_released(const Edge& edge);
    void drop_candidate();
    double after_stun_due_s() const;

    CycleState& state_;
    Animal* inside_ = nullptr; // may be a candidate
    double stood_s_ = 0.0;     // how long the line had stood when it was first seen
    std::deque<double> waiting_prods_s_;
};

// The one passage a moment lies in; shared with stations that have no `entered` contact.
Cycle::Place place_among_single(const CycleState& state, double onset_s);

} // namespace quietpass
