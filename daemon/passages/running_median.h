// Median and spread of the last few values. Any unit. Not thread-safe.
#pragma once

#include <cstddef>
#include <deque>
#include <vector>

namespace quietpass {

class RunningMedian {
  public:
    explicit RunningMedian(std::size_t window) : window_(window) {}

    void add(double value);
    void clear() { values_.clear(); }
    std::size_t size() const { return values_.size(); }
    double median() const; // NaN when empty
    // Median absolute deviation × 1.4826: equals the standard deviation where values are normal (computed
    // from the definition), and one wild value in five does not move it. NaN when empty.
    double spread() const;
    // Mean absolute deviation from the median, each deviation clipped to three times the median one: steadier
    // than spread() from few values, and still not moved far by a wild one. NaN when empty.
    double mean_deviation() const;

  private:
    std::vector<double> deviations() const;

    std::size_t window_;
    std::deque<double> values_;
};

} // namespace quietpass
