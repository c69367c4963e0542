#include "dsp/weighting.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <stdexcept>

namespace quietpass::dsp {

namespace {

using std::numbers::pi;

// Pole frequencies of IEC 61672-1 Annex E, Hz.
constexpr double kPole1 = 20.598997;
constexpr double kPole2 = 107.65265;
constexpr double kPole3 = 737.86223;
constexpr double kPole4 = 12194.217;

double square(double x) {
    return x * x;
}

double curve_gain(Weighting weighting, double f) {
    const double c =
        square(kPole4) * square(f) / ((square(f) + square(kPole1)) * (square(f) + square(kPole4)));
    if (weighting == Weighting::kC) return c;
    return c * square(f) / std::sqrt((square(f) + square(kPole2)) * (square(f) + square(kPole3)));
}

struct Coefficients {
    double b0, b1, b2, a1, a2;
};

// s² / ((s + ω1)(s + ω2)) by the bilinear transform, each pole prewarped.
Coefficients high_pass(double pole1_hz, double pole2_hz, double rate_hz) {
    const auto pole = [&](double hz) {
        const double warped = std::tan(pi * hz / rate_hz);
        return (1.0 - warped) / (1.0 + warped);
    };
    const double p1 = pole(pole1_hz);
    const double p2 = pole(pole2_hz);
    const double gain = (1.0 + p1) * (1.0 + p2) / 4.0;
    return {gain, -2.0 * gain, gain, -(p1 + p2), p1 * p2};
}

// The double pole at kPole4 with its poles mapped by e^(sT) and its zeros chosen so that the magnitude equals
// the analogue one at 0 and at two frequencies of the audible band. |B|² = B0·φ0 + B1·φ1 + B2·4·φ0·φ1 with φ1
// = sin²(ω/2), φ0 = 1 − φ1.
Coefficients low_pass(double rate_hz) {
    const double p = std::exp(-2.0 * pi * kPole4 / rate_hz);
    const auto target = [&](double f) { // |B|²
        const std::complex<double> z = std::polar(1.0, 2.0 * pi * f / rate_hz);
        const double analogue = square(square(kPole4) / (square(f) + square(kPole4)));
        return analogue * square(std::norm(z - p));
    };
    const double top = std::min(0.45 * rate_hz, 20000.0);
    const double f1 = 0.72 * top; // these two shares keep the worst error at any rate smallest (by search)
    const double f2 = 0.96 * top;
    const auto phi = [&](double f) { return square(std::sin(pi * f / rate_hz)); };
    const double at_zero = target(0.0);
    const double y1 = (target(f1) - at_zero * (1.0 - phi(f1))) / phi(f1);
    const double y2 = (target(f2) - at_zero * (1.0 - phi(f2))) / phi(f2);
    const double middle = (y1 - y2) / (4.0 * (phi(f2) - phi(f1)));
    const double at_nyquist = y1 - 4.0 * (1.0 - phi(f1)) * middle;
    const double w = 0.5 * (std::sqrt(at_zero) + std::sqrt(std::max(0.0, at_nyquist)));
    const double b0 = 0.5 * (w + std::sqrt(std::max(0.0, square(w) + middle)));
    const double b1 = 0.5 * (std::sqrt(at_zero) - std::sqrt(std::max(0.0, at_nyquist)));
    return {b0, b1, -middle / (4.0 * b0), -2.0 * p, square(p)};
}

} // namespace

double weighting_db(Weighting weighting, double frequency_hz) {
    if (weighting == Weighting::kZ) return 0.0;
    return 20.0 * std::log10(curve_gain(weighting, frequency_hz) / curve_gain(weighting, 1000.0));
}

WeightingFilter::WeightingFilter(Weighting weighting, double rate_hz) : rate_hz_(rate_hz) {
    if (!(rate_hz >= 8000.0 && rate_hz <= 192000.0)) {
        throw std::invalid_argument("WeightingFilter: the sample rate must lie within 8000 and 192000 Hz");
    }
    if (weighting == Weighting::kZ) return;
    const auto add = [this](const Coefficients& c) {
        sections_[count_++] = Section{c.b0, c.b1, c.b2, c.a1, c.a2};
    };
    add(high_pass(kPole1, kPole1, rate_hz));
    if (weighting == Weighting::kA) add(high_pass(kPole2, kPole3, rate_hz));
    add(low_pass(rate_hz));
    const double correction = std::pow(10.0, -response_db(1000.0) / 20.0);
    sections_[0].b0 *= correction;
    sections_[0].b1 *= correction;
    sections_[0].b2 *= correction;
}

double WeightingFilter::process(double sample) noexcept {
    for (std::size_t n = 0; n < count_; ++n) {
        Section& section = sections_[n];
        const double out = section.b0 * sample + section.s1;
        section.s1 = section.b1 * sample - section.a1 * out + section.s2;
        section.s2 = section.b2 * sample - section.a2 * out;
        sample = out;
    }
    return sample;
}

void WeightingFilter::reset() noexcept {
    for (Section& section : sections_) section.s1 = section.s2 = 0.0;
}

double WeightingFilter::response_db(double frequency_hz) const {
    const std::complex<double> back = std::polar(1.0, -2.0 * pi * frequency_hz / rate_hz_);
    std::complex<double> gain = 1.0;
    for (std::size_t n = 0; n < count_; ++n) {
        const Section& s = sections_[n];
        gain *= (s.b0 + back * (s.b1 + back * s.b2)) / (1.0 + back * (s.a1 + back * s.a2));
    }
    return 20.0 * std::log10(std::abs(gain));
}

} // namespace quietpass::dsp
