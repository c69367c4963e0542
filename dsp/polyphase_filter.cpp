#include "dsp/polyphase_filter.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "dsp/dot_product.h"

namespace quietpass::dsp {

namespace {

constexpr double kStopband_db = 84.0; // design value; 80 is promised
constexpr std::size_t kChunk = 4096;  // new samples the buffer can take at once

// Modified Bessel function of the first kind, order 0 (power series).
double bessel_i0(double x) {
    double sum = 1.0;
    double term = 1.0;
    for (int k = 1; term > 1e-14 * sum; ++k) {
        term *= (x / (2.0 * k)) * (x / (2.0 * k));
        sum += term;
    }
    return sum;
}

std::vector<double> low_pass(double cutoff, double transition, double stopband_db) {
    using std::numbers::pi;
    const double beta = 0.1102 * (stopband_db - 8.7);
    const auto half =
        static_cast<std::size_t>(std::ceil((stopband_db - 7.95) / (2.0 * pi * 2.285 * transition) / 2.0));
    std::vector<double> taps(2 * half + 1);
    double sum = 0.0;
    for (std::size_t n = 0; n < taps.size(); ++n) {
        const double t = static_cast<double>(n) - static_cast<double>(half);
        const double edge = t / static_cast<double>(half);
        const double sinc = t == 0.0 ? 2.0 * cutoff : std::sin(2.0 * pi * cutoff * t) / (pi * t);
        taps[n] = sinc * bessel_i0(beta * std::sqrt(std::max(0.0, 1.0 - edge * edge))) / bessel_i0(beta);
        sum += taps[n];
    }
    for (double& tap : taps) tap /= sum;
    return taps;
}

} // namespace

PolyphaseFilter::PolyphaseFilter(std::size_t up, std::size_t down) : up_(up), down_(down) {
    // Frequencies in cycles a step of the upsampled rate; half the lower of the two rates is the middle of
    // the slope.
    const double half_rate = 0.5 / static_cast<double>(std::max(up, down));
    const std::vector<double> prototype = low_pass(half_rate, half_rate / 4.0, kStopband_db);
    delay_ = prototype.size() / 2;
    taps_ = ((prototype.size() + up_ - 1) / up_ + 7) / 8 * 8;
    phases_.assign(up_ * taps_, 0.0F);
    for (std::size_t n = 0; n < prototype.size(); ++n) {
        const std::size_t phase = n % up_;
        const std::size_t age = n / up_;
        phases_[phase * taps_ + taps_ - 1 - age] =
            static_cast<float>(prototype[n] * static_cast<double>(up_));
    }
    buffer_.assign(taps_ - 1 + kChunk, 0.0F);
    reset();
}

void PolyphaseFilter::reset() noexcept {
    std::fill(buffer_.begin(), buffer_.end(), 0.0F);
    held_ = taps_ - 1; // silence before the first sample
    phase_ = delay_ % up_;
    newest_ = held_ + delay_ / up_;
}

std::size_t PolyphaseFilter::process(std::span<const float> in, std::span<float> out) noexcept {
    std::size_t written = 0;
    while (!in.empty()) {
        const std::size_t taken = std::min(in.size(), buffer_.size() - held_);
        std::copy_n(in.begin(), taken, buffer_.begin() + static_cast<std::ptrdiff_t>(held_));
        held_ += taken;
        in = in.subspan(taken);
        // Whole-number ratios have one phase.
        if (up_ == 1 && newest_ < held_) {
            const std::size_t outputs = ((held_ - newest_ + down_ - 1) / down_) / 4 * 4;
            dot_products(phases_.data(), &buffer_[newest_ + 1 - taps_], down_, taps_, outputs, &out[written]);
            written += outputs;
            newest_ += outputs * down_;
        }
        while (newest_ < held_) {
            out[written++] = dot_product(&phases_[phase_ * taps_], &buffer_[newest_ + 1 - taps_], taps_);
            phase_ += down_;
            newest_ += phase_ / up_;
            phase_ %= up_;
        }
        if (held_ == buffer_.size()) {
            const std::size_t keep_from = held_ - (taps_ - 1);
            std::copy(buffer_.begin() + static_cast<std::ptrdiff_t>(keep_from), buffer_.end(),
                      buffer_.begin());
            held_ -= keep_from;
            newest_ -= keep_from;
        }
    }
    return written;
}

} // namespace quietpass::dsp
