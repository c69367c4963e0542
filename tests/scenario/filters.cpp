#include "tests/scenario/filters.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quietpass::scenario {

namespace {

struct Angle {
    double cosine, alpha;
    Angle(double rate_hz, double hz, double q) {
        const double w = 2.0 * std::numbers::pi * std::min(hz, 0.49 * rate_hz) / rate_hz;
        cosine = std::cos(w);
        alpha = std::sin(w) / (2.0 * q);
    }
};

} // namespace

Biquad Biquad::low_pass(double rate_hz, double hz, double q) {
    const Angle at(rate_hz, hz, q);
    const double a0 = 1.0 + at.alpha;
    Biquad f;
    f.b1_ = (1.0 - at.cosine) / a0;
    f.b0_ = f.b2_ = f.b1_ / 2.0;
    f.a1_ = -2.0 * at.cosine / a0;
    f.a2_ = (1.0 - at.alpha) / a0;
    return f;
}

Biquad Biquad::high_pass(double rate_hz, double hz, double q) {
    const Angle at(rate_hz, hz, q);
    const double a0 = 1.0 + at.alpha;
    Biquad f;
    f.b1_ = -(1.0 + at.cosine) / a0;
    f.b0_ = f.b2_ = -f.b1_ / 2.0;
    f.a1_ = -2.0 * at.cosine / a0;
    f.a2_ = (1.0 - at.alpha) / a0;
    return f;
}

Biquad Biquad::peak(double rate_hz, double hz, double q, double gain_db) {
    const Angle at(rate_hz, hz, q);
    const double a = std::pow(10.0, gain_db / 40.0);
    const double a0 = 1.0 + at.alpha / a;
    Biquad f;
    f.b0_ = (1.0 + at.alpha * a) / a0;
    f.b1_ = f.a1_ = -2.0 * at.cosine / a0;
    f.b2_ = (1.0 - at.alpha * a) / a0;
    f.a2_ = (1.0 - at.alpha / a) / a0;
    return f;
}

Biquad Biquad::ring(double rate_hz, double hz, double decay_s) {
    const double radius = std::pow(10.0, -3.0 / (decay_s * rate_hz));
    const double w = 2.0 * std::numbers::pi * std::min(hz, 0.49 * rate_hz) / rate_hz;
    Biquad f;
    f.b0_ = 0.0;
    f.b1_ = radius * std::sin(w);
    f.a1_ = -2.0 * radius * std::cos(w);
    f.a2_ = radius * radius;
    return f;
}

BandFilter::BandFilter(double rate_hz, double low_hz, double high_hz) {
    // Quality factors of the two sections of a fourth-order Butterworth.
    constexpr double kFirst = 0.54119610;
    constexpr double kSecond = 1.30656296;
    sections_ = {Biquad::high_pass(rate_hz, low_hz, kFirst), Biquad::high_pass(rate_hz, low_hz, kSecond),
                 Biquad::low_pass(rate_hz, high_hz, kFirst), Biquad::low_pass(rate_hz, high_hz, kSecond)};
}

double BandFilter::energy(std::span<const float> samples) noexcept {
    double sum = 0.0;
    for (const float sample : samples) {
        const double y = process(static_cast<double>(sample));
        sum += y * y;
    }
    return sum;
}

} // namespace quietpass::scenario
