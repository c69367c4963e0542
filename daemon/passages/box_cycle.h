// The rules of a box with an `entered` contact: one animal at a time.
//
// `entered` while an animal is inside: within shortest_s of its entry it is the same one ("double_entry");
// otherwise, or once it was stunned, the old passage ends there. Without `entered`, two different edges in
// the order of the cycle (body_held, held, stunned or cut), no more than longest_s apart, are an animal
// ("entered_missing") that went in at the first of them; a lone one is a stray.
#pragma once

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
    void take_inner(const Edge& edge); // body_held, held, stunned or cut
    void take_released(const Edge& edge);
    void drop_candidate();
    double after_stun_due_s() const;

    CycleState& state_;
    Animal* inside_ = nullptr; // may be a candidate
};

// The one passage a moment lies in; shared with stations that have no `entered` contact.
Cycle::Place place_among_single(const CycleState& state, double onset_s);

} // namespace quietpass
