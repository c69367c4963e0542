// The rules of a conveyor with an `entered` contact: several animals in line, first in, first out.
//
// entered puts an animal at the line's end; within shortest_s of the last one it is the same
// ("double_entry"). body_held, held and stunned belong to the oldest that has not had it and none behind it
// had; released to the oldest stunned one, or to the oldest of all where none is stunned. One lost or doubled
// edge must not shift all that follow: each closing is checked against the travel time learned so far
// (travel_time.h), on a clock that stands still while the line is stopped.
//   - The one behind fits and the oldest is overdue: the oldest is closed, flagged "lost_in_line" (or, at
//     the release, "never_released").
//   - A stun much too early for everyone is the last animal's second stun if that was just now. Else it is an
//     animal whose entry was lost: its passage begins at the stun, is flagged "entered_missing" and not
//     scored ("entry_not_seen").
//   - A hold much too early, or with nobody waiting for it, is the last held animal's again if that is not
//     stunned yet, and else a candidate's: its stun makes it a passage from its hold on, flagged and not
//     scored as above; a stun of one behind it makes its edges strays.
// Who of them was an animal all edges together decide a little later (line_count.h).
// One that leaves without a stun is not scored ("stun_not_seen"): what it and those behind it said until then
// can't be told apart; nor, where no stun is wired, one that another overtook ("release_not_seen"). longest_s
// after entry a passage ends; a stopped line lengthens that, but no more than twofold.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <deque>

#include "daemon/passages/cycle_rules.h"
#include "daemon/passages/cycle_state.h"
#include "daemon/passages/line_count.h"
#include "daemon/passages/travel_time.h"

namespace quietpass {

class ConveyorCycle final : public CycleRules {
  public:
    explicit ConveyorCycle(CycleState& state) : state_(state), count_(state) {}

    void take(const Edge& edge) override;
    double next_due_s() const override;
    void fire(double due_s) override;
    void finish(double time_s) override;
    double placeable_until_s(double known_s) const override;
    Cycle::Place place(double onset_s, MicrophoneZone zone) const override;

  private:
    enum Mark { kBody, kHead, kStun, kMarks };
    struct Member {
        Animal* animal;
        double since_s;  // when it was first seen
        double stood_s;  // how long the line had stood by then
        double origin_s; // running seconds of its entry, assumed where it was not seen
        std::array<double, kMarks> at_s = {kNever, kNever, kNever}; // running seconds
        bool entered_empty_line = false; // nobody ahead of it was waiting for the stun
        bool stun_doubted = false;       // the oldest that waited when a stun was too early for everyone
        bool entry_lost = false;         // known by its stun alone
        LineCount::Tag tag = 0;
        bool has(Mark mark) const { return !std::isnan(at_s[mark]); }
    };

    void take_closing(const Edge& edge);
    void take_entered(double time_s);
    void take_mark(const Edge& edge, Mark mark);
    void take_unfitting_hold(const Edge& edge, Mark mark, std::size_t place);
    bool is_second_stun(std::size_t place, double running_s) const;
    bool was_its_stun(std::size_t place, double running_s) const;
    void take_unfitting_stun(const Edge& edge, std::size_t place);
    void take_released(const Edge& edge);
    bool release_in_turn(const Edge& edge);
    bool release_unstunned(const Edge& edge);
    void settle_count(double time_s, bool all);
    void enter_into(Member& member, const Edge& edge, Mark mark);
    Member member_at(Animal* animal, double time_s, double origin_s) const;
    void leave(std::size_t place, double time_s, End why);
    std::size_t first_without(Mark mark) const;
    double due_s(const Member& member) const;

    CycleState& state_;
    LineCount count_;
    double last_edge_s_ = 0.0; // or the end of a passage by time
    std::deque<Member> line_;  // the oldest first
    std::array<TravelTime, kMarks> travel_;
    TravelTime release_travel_; // from the stun
    RunningMedian stun_interval_{31};
    RunningMedian entry_interval_{31};
    // Running seconds of the last entries and stuns, from which the travel times are counted.
    std::deque<double> entries_s_;
    std::deque<double> stuns_s_;
};

} // namespace quietpass
