// The rules of a station without an `entered` contact: the stun (or cut) makes the passage, flagged
// "entry_assumed".
//
// It begins entry_before_s before the stun, or at the first body or head hold seen before it if that is
// earlier (no more than longest_s), but not before the last passage's end. A stun within after_stun_s of an
// animal's first is its second; a later one is the next animal's, though nothing was released in between. On
// a conveyor the next animal's stun comes sooner: there only a stun within shortest_s is the second, and
// `released` is not used, because it can't be told whose it is. A hold more than shortest_s after the stun
// belongs to the next animal and ends the passage. Holds without a stun are strays: at the release, at the
// next body hold, or longest_s later.
#pragma once

#include <deque>
#include <limits>

#include "daemon/passages/cycle_rules.h"
#include "daemon/passages/cycle_state.h"

namespace quietpass {

class StunOnlyCycle final : public CycleRules {
  public:
    explicit StunOnlyCycle(CycleState& state);

    void take(const Edge& edge) override;
    double next_due_s() const override;
    void fire(double due_s) override;
    void finish(double time_s) override;
    double placeable_until_s(double known_s) const override;
    Cycle::Place place(double onset_s, MicrophoneZone zone) const override;

  private:
    void take_hold(const Edge& edge);
    void take_stun(const Edge& edge);
    void take_released(const Edge& edge);
    void take_prod(double time_s);
    void end_inside(double end_s, End why);
    void drop_candidate();
    double earliest_begin_s(double time_s) const; // of a passage whose stun comes at time_s or later

    CycleState& state_;
    const bool conveyor_;
    const bool release_used_;
    const double second_stun_s_;
    Animal* inside_ = nullptr;    // stunned
    Animal* candidate_ = nullptr; // held, not stunned yet
    double last_end_s_ = -std::numeric_limits<double>::infinity();
    std::deque<double> prods_s_; // since the last stun or end, as far back as a passage can reach
};

} // namespace quietpass
