#include "daemon/health/level_history.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

void LevelHistory::add(double level_db) noexcept {
    const double step = std::round((level_db - kLowest_db) / kStep_db);
    counts_[static_cast<std::size_t>(std::clamp(step, 0.0, static_cast<double>(kSteps - 1)))] += 1.0;
}

void LevelHistory::fade(double keep) noexcept {
    for (double& count : counts_) count *= keep;
}

double LevelHistory::quantile_db(double share) const noexcept {
    double total = 0.0;
    for (const double count : counts_) total += count;
    if (total <= 0.0) return std::numeric_limits<double>::quiet_NaN();
    double below = 0.0;
    for (std::size_t step = 0; step < kSteps; ++step) {
        below += counts_[step];
        if (below >= share * total && counts_[step] > 0.0) {
            return kLowest_db + kStep_db * static_cast<double>(step);
        }
    }
    return kLowest_db + kStep_db * static_cast<double>(kSteps - 1);
}

} // namespace quietpass
