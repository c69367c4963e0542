#include "daemon/shifts/durations.h"

#include <algorithm>
#include <cmath>

#include "daemon/capture/gap.h"

namespace quietpass {

namespace {

double quantile_of_sorted(const std::vector<double>& sorted, double share) {
    const double place = share * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
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
    std::vector<double> sorted = lasted_s_;
    std::sort(sorted.begin(), sorted.end());
    out.median = quantile_of_sorted(sorted, 0.5);
    out.p95 = quantile_of_sorted(sorted, 0.95);
    out.max = sorted.back();
    return out;
}

} // namespace quietpass
