#include "daemon/health/second_spectrum.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "dsp/decibel.h"
#include "dsp/spectral_measures.h"

namespace quietpass {

namespace {

constexpr int kMostLines = 20;
constexpr double kStandingRatio = 10.0; // a line over what lies between it and the next: 10 dB

std::size_t frame_size(double rate_hz) {
    return std::bit_floor(static_cast<std::size_t>(rate_hz / 5.0));
}

} // namespace

SecondSpectrum::SecondSpectrum(double sample_rate_hz)
    : rate_hz_(sample_rate_hz),
      spectrum_(frame_size(sample_rate_hz)),
      frame_(spectrum_.size()),
      power_(spectrum_.bins()) {}

void SecondSpectrum::take(std::span<const float> samples) noexcept {
    const std::size_t count = std::min(samples.size(), frame_.size() - filled_);
    std::copy_n(samples.begin(), count, frame_.begin() + static_cast<std::ptrdiff_t>(filled_));
    filled_ += count;
}

double SecondSpectrum::power_of(double low_hz, double high_hz) const noexcept {
    const double bin_hz = rate_hz_ / static_cast<double>(frame_.size());
    const double top_hz = std::min(high_hz, 0.45 * rate_hz_);
    return dsp::band_power(power_, dsp::bins_between(low_hz, top_hz, bin_hz, power_.size())) /
           spectrum_.noise_bandwidth_bins();
}

SecondSpectrum::Lines SecondSpectrum::lines_of(double mains_hz) const noexcept {
    const double bin_hz = rate_hz_ / static_cast<double>(frame_.size());
    // A line's power lies in the three bins about it.
    const auto about = [&](double hz) {
        const auto middle = static_cast<std::size_t>(std::lround(hz / bin_hz));
        return (static_cast<double>(power_[middle - 1]) + static_cast<double>(power_[middle]) +
                static_cast<double>(power_[middle + 1])) /
               spectrum_.noise_bandwidth_bins();
    };
    Lines lines;
    double below = about(0.6 * mains_hz);
    for (int number = 1; number <= kMostLines; ++number) {
        const double line = about(number * mains_hz);
        const double above = about((number + 0.5) * mains_hz);
        lines.power += line;
        if (line > kStandingRatio * std::max(below, above)) ++lines.standing;
        below = above;
    }
    return lines;
}

bool SecondSpectrum::end_second(SecondFigures& figures) noexcept {
    const bool whole = filled_ == frame_.size();
    filled_ = 0;
    if (!whole) return false;
    spectrum_.process(frame_, power_);
    const Lines fifty = lines_of(50.0);
    const Lines sixty = lines_of(60.0);
    const Lines& lines = fifty.power > sixty.power ? fifty : sixty;
    figures.rumble_db = dsp::decibel(power_of(15.0, 80.0));
    figures.above_db = dsp::decibel(power_of(200.0, rate_hz_));
    figures.body_db = dsp::decibel(power_of(200.0, 1000.0));
    figures.high_db = dsp::decibel(power_of(2000.0, 8000.0));
    figures.band_db = dsp::decibel(power_of(100.0, 8000.0));
    figures.hum_db = dsp::decibel(lines.power);
    figures.but_hum_db = dsp::decibel(power_of(20.0, rate_hz_) - lines.power);
    figures.hum_lines = lines.standing;
    return true;
}

} // namespace quietpass
