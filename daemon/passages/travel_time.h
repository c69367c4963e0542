// How long animals travel along a conveyor from one contact to another, learned as they pass, and by that the
// answer to: whose closing was this? Running seconds (line_stops.h).
//
// A closing is the oldest waiting animal's unless another reading is far likelier: the one behind fits its
// expected time (the oldest was lost or counted twice), or it is much too early for everyone (whoever closed
// it was never counted). "Far likelier" is kDoubt spreads of the travel time, about the odds of one lost edge
// in a hundred (computed for normal deviations).
//
// Where animals follow each other so closely for how unevenly they travel that times can't tell neighbours
// apart, order alone decides: a lost edge then shifts those behind until the line runs empty.
//
// Lags guard against having learned it shifted: each sample also says how long it would have been had the
// closing been the neighbours'. If a neighbour's times agree much better with each other, they are the travel
// time.
#pragma once

#include <array>
#include <cstddef>
#include <deque>
#include <optional>

#include "daemon/passages/running_median.h"

namespace quietpass {

class TravelTime {
  public:
    enum class Pick { kOldest, kNext, kNobody };
    static constexpr std::size_t kLags = 5; // two ahead, own, two behind
    static constexpr std::size_t kOwn = 2;
    using Lags = std::array<double, kLags>; // travel time for each, NaN where there is no such animal

    // oldest_s, next_s: how long the oldest waiting animal and the one behind it have travelled.
    Pick pick(double oldest_s, std::optional<double> next_s);

    void learn(const Lags& lags);
    // The last pick was odd. After kMisfits odd ones in a row the travel time itself has changed and is
    // learned anew; so it is, and true returned, after two in a row of animals that entered an empty line,
    // who can't be mistaken for another.
    bool misfit(bool entered_empty_line);
    void fit_from_empty_line() { start_misfits_ = 0; }

    bool known() const { return own_.size() >= kEnough; }
    double expected_s() const { return own_.median(); }
    double spread_s() const;
    double tolerance_s() const; // further from expected_s() than this is odd

  private:
    static constexpr std::size_t kWindow = 31;
    static constexpr std::size_t kEnough = 5;
    static constexpr std::size_t kEnoughToShift = 9;
    static constexpr double kDoubt = 4.0;
    static constexpr double kUsualOddness =
        1.5;                              // spreads that an early closing may be off without adding to doubt
    static constexpr double kWild = 12.0; // spreads beyond which it matters no more how far off a time is
    static constexpr int kMisfits = 3;
    static constexpr int kStartMisfits = 2;

    double least_spread_s() const;
    bool tells_neighbours_apart() const;
    void forget();
    void shift_if_mislearned();

    std::deque<Lags> samples_;
    RunningMedian own_{kWindow};
    RunningMedian gaps_s_{kWindow}; // from one animal to the next
    int misfits_ = 0;
    int start_misfits_ = 0;
    double late_doubt_ = 0.0;  // spreads by which the animal behind fitted better, summed
    double early_doubt_ = 0.0; // spreads by which closings came too early, summed
};

} // namespace quietpass
