#include "daemon/passages/running_median.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {

double median_of(std::vector<double> values) {
    if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    if (values.size() % 2 == 1) return *middle;
    return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

} // namespace

void RunningMedian::add(double value) {
    values_.push_back(value);
    if (values_.size() > window_) values_.pop_front();
}

double RunningMedian::median() const {
    return median_of({values_.begin(), values_.end()});
}

std::vector<double> RunningMedian::deviations() const {
    const double middle = median();
    std::vector<double> deviations;
    for (const double value : values_) deviations.push_back(std::abs(value - middle));
    return deviations;
}

double RunningMedian::spread() const {
    return 1.4826 * median_of(deviations());
}

double RunningMedian::mean_deviation() const {
    const std::vector<double> all = deviations();
    const double most = 3 * median_of(all);
    double sum = 0.0;
    for (const double deviation : all) sum += std::min(deviation, most);
    return sum / static_cast<double>(all.size());
}

} // namespace quietpass
