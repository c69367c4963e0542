#include "dsp/level_meter.h"

#include <algorithm>
#include <cmath>

#include "dsp/decibel.h"

namespace quietpass::dsp {

namespace {

// A full-scale sine has a mean square of ½ and reads 0 dB.
double level_of(double mean_square) {
    return decibel(2.0 * mean_square);
}

} // namespace

LevelMeter::LevelMeter(double rate_hz, Weighting weighting, TimeWeighting time_weighting)
    : filter_(weighting, rate_hz),
      rate_hz_(rate_hz),
      keep_(std::exp(-1.0 / (rate_hz * time_constant_s(time_weighting)))) {}

void LevelMeter::process(std::span<const float> samples) noexcept {
    for (const float sample : samples) {
        const double weighted = filter_.process(static_cast<double>(sample));
        const double square = weighted * weighted;
        energy_ += square;
        mean_square_ = square + keep_ * (mean_square_ - square);
        maximum_ = std::max(maximum_, mean_square_);
    }
    count_ += static_cast<std::int64_t>(samples.size());
}

double LevelMeter::level_db() const noexcept {
    return level_of(mean_square_);
}
double LevelMeter::maximum_db() const noexcept {
    return level_of(maximum_);
}

double LevelMeter::equivalent_db() const noexcept {
    return count_ == 0 ? decibel(0.0) : level_of(energy_ / static_cast<double>(count_));
}

double LevelMeter::exposure_db() const noexcept {
    return level_of(energy_ / rate_hz_);
}

double LevelMeter::duration_s() const noexcept {
    return static_cast<double>(count_) / rate_hz_;
}

void LevelMeter::clear() noexcept {
    maximum_ = 0.0;
    energy_ = 0.0;
    count_ = 0;
}

void LevelMeter::reset() noexcept {
    clear();
    mean_square_ = 0.0;
    filter_.reset();
}

} // namespace quietpass::dsp
