#include "daemon/passages/found_travel.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "daemon/passages/running_median.h"

namespace quietpass {

namespace {

constexpr std::size_t kEnough = 20;         // animals
constexpr double kNormalDeviation = 1.2533; // standard deviation over mean deviation, √(π/2)
constexpr int kMostLag = 2;
constexpr double kOtherLag = 4.0;       // as unlikely as an edge lost just at the start
constexpr double kOtherLagLater = 10.0; // by then it would have been found
constexpr double kFinest_s = 0.2;
constexpr double kUnmatched = 4.6; // one edge lost in a hundred: −ln 0.01

double nearest(const std::deque<double>& times_s, double time_s) {
    const auto after = std::lower_bound(times_s.begin(), times_s.end(), time_s);
    if (after == times_s.begin()) return *after;
    const double before_s = *std::prev(after);
    return after == times_s.end() || time_s - before_s < *after - time_s ? before_s : *after;
}

} // namespace

Travel found_travel(const std::deque<double>& begins_s, const std::deque<double>& ends_s, double about_s,
                    double gap_s, bool some_forgotten) {
    Travel best;
    if (std::isnan(about_s) || std::isnan(gap_s) || std::min(begins_s.size(), ends_s.size()) < kEnough) {
        return best;
    }
    // Where earlier edges are forgotten, those whose beginning may be too say nothing; before the very first
    // there was none.
    const double from_s = some_forgotten ? begins_s.front() + about_s + (kMostLag + 1) * gap_s
                                         : -std::numeric_limits<double>::infinity();
    double best_score = std::numeric_limits<double>::infinity();
    for (int lag = -kMostLag; lag <= kMostLag; ++lag) {
        const double expected_s = about_s + lag * gap_s;
        if (expected_s <= 0.0) continue;
        RunningMedian times(ends_s.size());
        double score = lag == 0 ? 0.0 : some_forgotten ? kOtherLagLater : kOtherLag;
        for (const double end_s : ends_s) {
            if (end_s < from_s) continue;
            const double begin_s = nearest(begins_s, end_s - expected_s);
            if (std::abs(end_s - begin_s - expected_s) < gap_s / 2) {
                times.add(end_s - begin_s);
            } else {
                score += kUnmatched + std::log(gap_s);
            }
        }
        if (times.size() < kEnough / 2) continue;
        const double shown_s = std::max(kNormalDeviation * times.mean_deviation(), kFinest_s);
        score += static_cast<double>(times.size()) * std::log(shown_s);
        if (score >= best_score) continue;
        best_score = score;
        best = {times.median(), shown_s};
    }
    return best;
}

} // namespace quietpass
