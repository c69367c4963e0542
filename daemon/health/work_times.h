// When the line worked, from the contacts: within `after_s` of an edge, and not while it stood (`stopped`).
// A microphone's usual levels are those of work; a hall at night or in a break has others, and no animals.
//
// Pure, not thread-safe. Edges come in time order; times are station seconds.
#pragma once

#include <deque>

#include "daemon/contacts/edge.h"

namespace quietpass {

class WorkTimes {
  public:
    explicit WorkTimes(double after_s) : after_s_(after_s) {}

    void take(const Edge& edge);
    // Whether the line worked at this time; every edge up to then must have been taken, later ones change
    // nothing.
    bool at(double time_s) const;
    void forget_before(double time_s);

  private:
    double after_s_;
    std::deque<Edge> edges_;
    bool stood_before_ = false; // what the forgotten edges left
};

} // namespace quietpass
