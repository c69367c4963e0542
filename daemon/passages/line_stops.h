// When the line stood still, and the clock that stands still with it: "running seconds", by which a
// conveyor's travel times are measured. Times are station seconds and never go back from call to call of
// take() and finish().
#pragma once

#include <deque>

namespace quietpass {

class LineStops {
  public:
    // True where this changed something: a contact that reports the same state twice does not.
    bool take(double time_s, bool stopped);
    void finish(double time_s) { take(time_s, false); }

    bool stopped_now() const { return !stops_.empty() && stops_.back().running_again_s == kOpen; }
    bool stopped_at(double time_s) const;
    bool began_within(double start_s, double end_s) const; // start_s < a stop's start < end_s
    double stood_s(double time_s) const;                   // how long all stops before it lasted together
    double running_s(double time_s) const { return time_s - stood_s(time_s); }

    bool take_stop(double& start_s, double& end_s);
    // Drops stops that were taken and ended before; times from time_s on can still be asked about.
    void forget_before(double time_s);

  private:
    static constexpr double kOpen = 1e300;
    struct Stop {
        double start_s;
        double running_again_s;
        bool taken = false;
    };
    std::deque<Stop> stops_;
    double forgotten_s_ = 0.0; // how long the forgotten stops lasted together
};

} // namespace quietpass
