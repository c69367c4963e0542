#include "daemon/passages/travel_time.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {
// Spreads below these say that few animals were seen, not that they travel this evenly.
constexpr double kLeastSpread_s = 0.2;
constexpr double kLeastSpreadShare = 0.02;
// The spread of few samples often comes out far too small (computed for normal deviations: of five, below
// half the true one in one case in four).
constexpr double kFewSamples = 4.0;
// With a spread of more than this share of the gap to the next animal, chance deviations would be taken for
// lost animals more often than animals are lost (found by simulated shifts, gaps of 8 to 14 s).
constexpr double kMostSpreadOfGap = 0.3;
// A neighbour is believed when the logarithm of the ratio of the two mean deviations, times the root of the
// number of samples, is above this: about four standard errors where gaps between animals vary as much as
// their travel times (computed for normal deviations).
constexpr double kClearlyBetter = 2.5;
} // namespace

double TravelTime::least_spread_s() const {
    return std::max(kLeastSpread_s, kLeastSpreadShare * own_.median());
}

double TravelTime::spread_s() const {
    const double shown_s = own_.spread() * (1 + kFewSamples / static_cast<double>(own_.size()));
    return std::max(shown_s, least_spread_s());
}

double TravelTime::tolerance_s() const {
    return kDoubt * spread_s();
}

TravelTime::Pick TravelTime::pick(double oldest_s, std::optional<double> next_s) {
    if (!known() || !tells_neighbours_apart()) return Pick::kOldest;
    const double expected_s = own_.median();
    const double spread = spread_s();
    const auto oddness = [&](double travel_s) {
        return std::min(std::abs(travel_s - expected_s) / spread, kWild);
    };
    const double oldest = oddness(oldest_s);
    late_doubt_ = next_s && *next_s < oldest_s ? std::max(0.0, late_doubt_ + oldest - oddness(*next_s)) : 0.0;
    early_doubt_ = oldest_s < expected_s ? std::max(0.0, early_doubt_ + oldest - kUsualOddness) : 0.0;
    auto pick = Pick::kOldest;
    if (late_doubt_ > kDoubt) {
        pick = Pick::kNext;
    } else if (early_doubt_ > kDoubt - kUsualOddness) {
        pick = Pick::kNobody;
    }
    if (pick != Pick::kOldest) late_doubt_ = early_doubt_ = 0.0;
    return pick;
}

void TravelTime::learn(const Lags& lags) {
    misfits_ = 0;
    if (late_doubt_ > 0) return; // perhaps another's
    samples_.push_back(lags);
    if (samples_.size() > kWindow) samples_.pop_front();
    own_.add(lags[kOwn]);
    if (!std::isnan(lags[kOwn - 1])) gaps_s_.add(lags[kOwn - 1] - lags[kOwn]);
    shift_if_mislearned();
}

bool TravelTime::misfit(bool entered_empty_line) {
    if (entered_empty_line) ++start_misfits_;
    const bool mislearned = start_misfits_ >= kStartMisfits;
    if (++misfits_ >= kMisfits || mislearned) forget();
    return mislearned;
}

void TravelTime::forget() {
    misfits_ = start_misfits_ = 0;
    late_doubt_ = early_doubt_ = 0.0;
    samples_.clear();
    own_.clear();
    gaps_s_.clear();
}

bool TravelTime::tells_neighbours_apart() const {
    return gaps_s_.size() < kEnough || spread_s() <= kMostSpreadOfGap * gaps_s_.median();
}

void TravelTime::shift_if_mislearned() {
    if (samples_.size() < kEnoughToShift || own_.spread() < least_spread_s()) return;
    std::size_t best = kOwn;
    double best_evidence = kClearlyBetter;
    for (std::size_t lag = 0; lag < kLags; ++lag) {
        RunningMedian times(kWindow);
        for (const Lags& sample : samples_) {
            if (!std::isnan(sample[lag])) times.add(sample[lag]);
        }
        // A neighbour that often has not come yet shows only its short times: they agree, but by selection.
        if (lag == kOwn || 10 * times.size() < 9 * samples_.size()) continue;
        const double agreement =
            std::log(own_.mean_deviation() / std::max(times.mean_deviation(), kLeastSpread_s));
        const double evidence = agreement * std::sqrt(static_cast<double>(times.size()));
        if (evidence <= best_evidence) continue;
        best = lag;
        best_evidence = evidence;
    }
    if (best == kOwn) return;
    own_.clear();
    std::deque<Lags> shifted;
    for (const Lags& sample : samples_) {
        if (std::isnan(sample[best])) continue;
        Lags moved;
        moved.fill(std::numeric_limits<double>::quiet_NaN());
        for (std::size_t lag = 0; lag < kLags; ++lag) {
            const std::size_t from = lag + best - kOwn; // wraps below zero: caught by the bound
            if (from < kLags) moved[lag] = sample[from];
        }
        own_.add(moved[kOwn]);
        shifted.push_back(moved);
    }
    samples_ = std::move(shifted);
}

} // namespace quietpass
