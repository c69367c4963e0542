#include "dsp/modulation.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quietpass::dsp {

namespace {

constexpr double kSlowest_hz = 1.0; // slower is the sound's own rise and fall

} // namespace

ModulationSpectrum::ModulationSpectrum(double frame_rate_hz)
    : fft_(kMaxPoints),
      rate_hz_(frame_rate_hz),
      padded_(kMaxPoints),
      spectrum_(fft_.bins()),
      power_(fft_.bins()) {}

void ModulationSpectrum::process(std::span<const float> envelope) noexcept {
    const std::size_t count = std::min(envelope.size(), kMaxPoints);
    std::fill(power_.begin(), power_.end(), 0.0F);
    depth_ = 0.0;
    if (count < kMinPoints) return;

    double mean = 0.0;
    for (std::size_t n = 0; n < count; ++n) mean += static_cast<double>(envelope[n]);
    mean /= static_cast<double>(count);
    double variance = 0.0;
    for (std::size_t n = 0; n < count; ++n) {
        const double off = static_cast<double>(envelope[n]) - mean;
        // Half a point in, so that no point is weighted 0.
        const double turn = (static_cast<double>(n) + 0.5) / static_cast<double>(count);
        variance += off * off;
        padded_[n] = static_cast<float>(off * (0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * turn)));
    }
    std::fill(padded_.begin() + static_cast<std::ptrdiff_t>(count), padded_.end(), 0.0F);
    if (mean != 0.0) depth_ = std::sqrt(variance / static_cast<double>(count)) / std::abs(mean);
    fft_.forward(padded_, spectrum_);
    for (std::size_t k = 0; k < power_.size(); ++k) power_[k] = std::norm(spectrum_[k]);
}

double ModulationSpectrum::share(double low_hz, double high_hz) const noexcept {
    double within = 0.0;
    double total = 0.0;
    for (std::size_t k = 0; k < power_.size(); ++k) {
        const double hz = static_cast<double>(k) * rate_hz_ / static_cast<double>(kMaxPoints);
        if (hz < kSlowest_hz) continue;
        total += static_cast<double>(power_[k]);
        if (hz >= low_hz && hz < high_hz) within += static_cast<double>(power_[k]);
    }
    return total > 0.0 ? within / total : 0.0;
}

double ModulationSpectrum::strongest_hz() const noexcept {
    const double step = rate_hz_ / static_cast<double>(kMaxPoints);
    const auto first = std::min(static_cast<std::size_t>(std::ceil(kSlowest_hz / step)), power_.size() - 1);
    const auto best = std::max_element(power_.begin() + static_cast<std::ptrdiff_t>(first), power_.end());
    return *best > 0.0F ? static_cast<double>(best - power_.begin()) * step : 0.0;
}

} // namespace quietpass::dsp
