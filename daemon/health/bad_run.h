// Makes stretches of trouble out of seconds that are good or bad: a run of one kind of fault.
//
// A running sum rises by one with each bad second and falls by one with each good one, never below 0 (a
// cumulative sum after Page, Biometrika 41 (1954) 100) and never above `after`. There it is a fault, from
// where the sum left 0 to where it last stood at `after` before it is back at 0. Of two seconds one may so be
// good before a fault is missed, and a bang or a call now and then neither makes nor prolongs one. Seconds
// that are passed by change nothing and belong to no fault.
//
// Pure, no allocation. Not thread-safe. Times in seconds, in order.
#pragma once

#include <optional>

namespace quietpass {

class BadRun {
  public:
    struct Stretch {
        double start_s;
        double end_s;
    };

    explicit BadRun(double after_s) : after_(after_s) {}

    // The stretch that this second shows to be trouble. A long one comes in pieces that touch.
    std::optional<Stretch> take(double start_s, double end_s, bool bad) noexcept;
    void pass_by(double end_s) noexcept;

    bool on() const noexcept { return on_; }
    // Before this time nothing will be called trouble any more that wasn't yet; at most kPatience_s behind
    // the last second.
    double settled_until_s() const noexcept { return settled_s_; }

  private:
    // A sum below this is the ordinary; the rest of the station does not wait for it.
    static constexpr double kSuspicious = 4.0;
    static constexpr double kPatience_s = 120.0;

    double after_;
    double sum_ = 0.0;
    bool on_ = false;
    double run_start_s_ = 0.0; // where the sum left 0
    double told_until_s_ = 0.0;
    double settled_s_ = 0.0;
};

} // namespace quietpass
