#include "daemon/shifts/durations.h"

#include <algorithm>
#include <cmath>

#include "daemon/capture/gap.h"

namespace quietpass {

namespace {

// By linear interpolation between the two nearest. A quarter has a quarter of a million values: they are put in
// order only as far as these two.
double quantile_of(std::vector<double>& values, double share) {
    const double place = share * static_cast<double>(values.size() - 1);
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(place);
    std::nth_element(values.begin(), at, values.end());
    const double above = at + 1 == values.end() ? *at : *std::min_element(at + 1, values.end());
    return *at + (place - std::floor(place)) * (above - *at);
}

} // namespace

bool is_animal(const Passage& passage) {
    return passage.excluded != "no_animal";
}

bool contacts_known(const Passage& passage) {
    return passage.excluded != name_of(GapCause::kContactsLost);
}

void DurationCollector::add(const Passage& passage) {
    const double s = (passage.*of_)();
    if (is_animal(passage) && contacts_known(passage) && std::isfinite(s) && s >= 0.0) {
        lasted_s_.push_back(s);
    }
}

Durations DurationCollector::durations() const {
    Durations out;
    out.n = static_cast<std::int64_t>(lasted_s_.size());
    if (lasted_s_.empty()) return out;
    std::vector<double> values = lasted_s_;
    out.median = quantile_of(values, 0.5);
    out.p95 = quantile_of(values, 0.95);
    out.max = *std::max_element(values.begin(), values.end());
    return out;
}

} // namespace quietpass
