#include "classifiers/rhythm.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "dsp/analysis.h"

namespace quietpass {

Repetition repetition_of(std::span<const float> level_db) noexcept {
    const auto first_lag = static_cast<std::size_t>(0.1 * dsp::kFrameRateHz);
    const std::size_t last_lag =
        std::min(static_cast<std::size_t>(1.0 * dsp::kFrameRateHz), level_db.size() / 2);
    double mean = 0.0;
    for (const float v : level_db) mean += v;
    mean /= static_cast<double>(std::max<std::size_t>(1, level_db.size()));
    double power = 0.0;
    for (const float v : level_db) power += (v - mean) * (v - mean);
    Repetition best;
    if (power < 1e-6) return best;
    const auto at_lag = [&](std::size_t lag) {
        double sum = 0.0;
        for (std::size_t i = lag; i < level_db.size(); ++i)
            sum += (level_db[i] - mean) * (level_db[i - lag] - mean);
        return sum / power * static_cast<double>(level_db.size()) /
               static_cast<double>(level_db.size() - lag);
    };
    constexpr std::size_t kLags = 64;
    std::array<double, kLags + 2> humps{};
    double before = at_lag(first_lag - 1);
    double here = at_lag(first_lag);
    for (std::size_t lag = first_lag; lag < std::min(last_lag, kLags); ++lag) {
        const double after = at_lag(lag + 1);
        // Only a hump counts: the fall from lag 0 says nothing of repetition.
        if (here > before && here >= after) {
            humps[lag] = std::min(1.0, here);
            best.strength = std::max(best.strength, humps[lag]);
        }
        before = here;
        here = after;
    }
    // What repeats after one period does so after two and three as well: the first of about equal humps.
    std::size_t first = first_lag;
    while (first < kLags && humps[first] < 0.85 * best.strength) ++first;
    best.period_s = static_cast<double>(first) / dsp::kFrameRateHz;
    if (best.strength < 0.2) best.period_s = 0.0;
    return best;
}

double modulation_depth_db(std::span<const float> level_db) noexcept {
    constexpr std::ptrdiff_t kReach = 16;
    const auto size = static_cast<std::ptrdiff_t>(level_db.size());
    double squares = 0.0;
    for (std::ptrdiff_t i = 0; i < size; ++i) {
        const std::ptrdiff_t from = std::max<std::ptrdiff_t>(0, i - kReach);
        const std::ptrdiff_t to = std::min(size - 1, i + kReach);
        double sum = 0.0;
        for (std::ptrdiff_t k = from; k <= to; ++k) sum += level_db[static_cast<std::size_t>(k)];
        const double off = level_db[static_cast<std::size_t>(i)] - sum / static_cast<double>(to - from + 1);
        squares += off * off;
    }
    return size == 0 ? 0.0 : std::sqrt(squares / static_cast<double>(size));
}

} // namespace quietpass
