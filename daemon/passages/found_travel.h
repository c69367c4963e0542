// How long animals travel from one contact to another, from the times of both alone: whichever travel time
// near about_s, or up to two usual gaps between animals off it, lets the ends agree best with a beginning
// each (a likelihood of normal times, ends without a beginning paying for it). It does not need to know which
// edges belong together, so it can't have learned them shifted by one animal. Running seconds. Pure.
#pragma once

#include <deque>
#include <limits>

namespace quietpass {

struct Travel {
    double expected_s = std::numeric_limits<double>::quiet_NaN(); // NaN: not known
    double spread_s = std::numeric_limits<double>::quiet_NaN();   // one standard deviation
};

// begins_s, ends_s: in order of time. some_forgotten: they are the last of more. Not known with fewer than 20
// of either, or where about_s or gap_s are not known.
Travel found_travel(const std::deque<double>& begins_s, const std::deque<double>& ends_s, double about_s,
                    double gap_s, bool some_forgotten);

} // namespace quietpass
