#include "daemon/capture/clock_fit.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace quietpass {

namespace {

constexpr double kBinS = 5.0;
constexpr std::size_t kMostBins = 60;    // 5 minutes
constexpr double kSlopeAfterS = 60.0;    // before this the nominal rate is the better guess
constexpr double kMostDrift = 500e-6;    // a crystal is within 100 ppm; beyond 500 it is our mistake
constexpr double kAssumedErrorS = 0.020; // until three minima are there
constexpr double kEarlyRefitS = 0.0005;  // a stamp this much before the fit moves it at once

double quantile(std::vector<double>& values, double share) {
    const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

} // namespace

ClockFit::ClockFit(double nominal_rate_hz) : rate_hz_(nominal_rate_hz), error_s_(kAssumedErrorS) {}

void ClockFit::add(std::int64_t index, std::int64_t monotonic_ns) {
    const double nominal_s = static_cast<double>(index) / rate_hz_;
    if (!started()) {
        origin_ns_ = monotonic_ns - static_cast<std::int64_t>(std::llround(nominal_s * 1e9));
        bin_start_s_ = anchor_s_ = nominal_s;
        earliest_.push_back({nominal_s, 0.0});
        return;
    }
    const Point point{nominal_s, static_cast<double>(monotonic_ns - origin_ns_) * 1e-9 - nominal_s};
    if (nominal_s - bin_start_s_ >= kBinS) {
        refit(); // with the bin that is now whole
        bin_start_s_ = nominal_s;
        earliest_.push_back(point);
        if (earliest_.size() > kMostBins) earliest_.pop_front();
        if (earliest_.size() < 3) refit();
        return;
    }
    Point& best = earliest_.back();
    if (point.offset_s - offset_at(point.nominal_s) < best.offset_s - offset_at(best.nominal_s)) {
        best = point;
        if (point.offset_s < offset_at(point.nominal_s) - kEarlyRefitS) refit();
    }
}

void ClockFit::refit() {
    anchor_s_ = earliest_.back().nominal_s;
    const double span_s = anchor_s_ - earliest_.front().nominal_s;
    if (span_s >= kSlopeAfterS) {
        std::vector<double> slopes;
        slopes.reserve(earliest_.size() * earliest_.size() / 2);
        for (std::size_t a = 0; a < earliest_.size(); ++a) {
            for (std::size_t b = a + 1; b < earliest_.size(); ++b) {
                const double run_s = earliest_[b].nominal_s - earliest_[a].nominal_s;
                if (run_s >= kBinS) slopes.push_back((earliest_[b].offset_s - earliest_[a].offset_s) / run_s);
            }
        }
        if (!slopes.empty()) drift_ = std::clamp(quantile(slopes, 0.5), -kMostDrift, kMostDrift);
    }
    std::vector<double> rests;
    rests.reserve(earliest_.size());
    for (const Point& point : earliest_) {
        rests.push_back(point.offset_s - drift_ * (point.nominal_s - anchor_s_));
    }
    // Lateness only adds: with few minima the earliest is the truth, with many the lower quartile is
    // steadier.
    offset_s_ = rests.size() < 8 ? *std::min_element(rests.begin(), rests.end()) : quantile(rests, 0.25);
    if (rests.size() >= 3) {
        for (double& rest : rests) rest = std::abs(rest - offset_s_);
        error_s_ = quantile(rests, 0.9);
    }
}

std::int64_t ClockFit::monotonic_ns_at(double index) const {
    const double nominal_s = index / rate_hz_;
    return origin_ns_ + static_cast<std::int64_t>(std::llround((nominal_s + offset_at(nominal_s)) * 1e9));
}

double ClockFit::index_at(std::int64_t monotonic_ns) const {
    // t = n + offset + drift · (n − anchor), solved for n.
    const double since_origin_s = static_cast<double>(monotonic_ns - origin_ns_) * 1e-9;
    return rate_hz_ * (since_origin_s - offset_s_ + drift_ * anchor_s_) / (1.0 + drift_);
}

double ClockFit::lateness_s(std::int64_t index, std::int64_t monotonic_ns) const {
    const double nominal_s = static_cast<double>(index) / rate_hz_;
    return static_cast<double>(monotonic_ns - origin_ns_) * 1e-9 - nominal_s - offset_at(nominal_s);
}

} // namespace quietpass
