// Keeps the number of a conveyor's animals right. A passage is begun, stunned and ended as its edges come and
// what was said of it stays true; whether it was an animal is decided a little later, by all edges together
// (head_count.h):
//   - A passage with an entry and a stun of its own is one.
//   - One without is one if the edges tell of so many animals; else it was none ("double_entry",
//     "counted_twice" or "not_an_animal" for a stun too many). It is handed out when that is known.
//   - Edges that tell of an animal more than there are passages make one without a length, where that is
//     found: "entered_missing", not scored ("entry_not_seen").
// Not thread-safe. Times are station seconds.
#pragma once

#include <deque>
#include <map>
#include <vector>

#include "daemon/passages/cycle_state.h"
#include "daemon/passages/head_count.h"

namespace quietpass {

class LineCount {
  public:
    using Tag = HeadCount::Tag;

    explicit LineCount(CycleState& state)
        : state_(state), heads_(state.stun_wired(), state.wired(Role::kReleased)) {}

    // An edge that was taken, and the passage it began or the doubt it left.
    void add(HeadCount::Mark mark, double running_s, Tag tag = 0) { heads_.add(mark, running_s, tag); }
    Tag begin(Animal& animal);
    Tag doubt(const Edge& edge, const char* why); // a stray, unless it is that of an animal without a passage

    // The passage has ended; call before the state ends it. sure: it had an entry and a stun of its own.
    void left(Tag tag, bool sure);

    void settle(double time_s, double running_s, const HeadCount::Knowledge& knowledge, bool all);

    // Something is kept back until it is known.
    bool waits() const { return !heads_.empty() || !undecided_.empty(); }

  private:
    struct Begun {
        Animal* animal = nullptr; // until it is handed out
        bool has_left = false;
        bool sure = false;
        bool second = false; // its edge is an animal's second
        enum Verdict { kOpen, kAnimal, kNobody } verdict = Verdict::kOpen;
    };
    void decide_group();
    void decide(Tag tag, Begun& begun);
    void make_nobody(Animal& animal, bool second);
    void add_missing(double time_s);

    CycleState& state_;
    HeadCount heads_;
    Tag last_tag_ = 0;
    std::map<Tag, Begun> undecided_;
    std::map<Tag, std::pair<Edge, const char*>> doubts_;
    std::vector<Tag> group_; // the passages of one animal and of its second edges
    std::deque<Tag> group_doubts_;
    int missing_ = 0;        // animals told of by the edges, less those with a passage
    int groups_missing_ = 0; // for so many animals in a row
};

} // namespace quietpass
