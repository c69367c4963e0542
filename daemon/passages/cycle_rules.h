// The part of the cycle that differs between a box, a conveyor and a station without `entered`. Driven by
// Cycle, in time order; every time-out due before an edge has been fired when the edge comes.
#pragma once

#include <limits>

#include "daemon/contacts/edge.h"
#include "daemon/passages/cycle.h"

namespace quietpass {

inline constexpr double kNotDue = std::numeric_limits<double>::infinity();

class CycleRules {
  public:
    virtual ~CycleRules() = default;
    virtual void take(const Edge& edge) = 0; // any wired role but `stopped`
    virtual double next_due_s() const = 0;   // the next time-out; kNotDue where nothing waits
    virtual void fire(double due_s) = 0;     // that time-out
    virtual void finish(double time_s) = 0;  // ends whatever is open
    virtual double placeable_until_s(double known_s) const = 0;
    virtual Cycle::Place place(double onset_s, MicrophoneZone zone) const = 0;
};

} // namespace quietpass
