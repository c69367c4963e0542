// One second-order filter section, for shaping the trainer's noise and distances. Coefficients by the audio
// EQ cookbook (R. Bristow-Johnson). Values are floats at kClipRateHz.
#pragma once

#include <algorithm>
#include <cmath>
#include <span>

#include "classifiers/tuning/clip.h"

namespace quietpass::tuning {

class Biquad {
  public:
    static Biquad low_pass(double hz, double q) {
        const Angle a(hz, q);
        return Biquad((1 - a.cosine) / 2, 1 - a.cosine, (1 - a.cosine) / 2, a);
    }
    static Biquad high_pass(double hz, double q) {
        const Angle a(hz, q);
        return Biquad((1 + a.cosine) / 2, -(1 + a.cosine), (1 + a.cosine) / 2, a);
    }
    // 0 dB at its centre.
    static Biquad band_pass(double hz, double q) {
        const Angle a(hz, q);
        return Biquad(a.alpha, 0, -a.alpha, a);
    }

    float next(float in) {
        const float out = b0_ * in + z1_;
        z1_ = b1_ * in - a1_ * out + z2_;
        z2_ = b2_ * in - a2_ * out;
        return out;
    }
    void run(std::span<float> samples) {
        for (float& sample : samples) sample = next(sample);
    }

  private:
    struct Angle {
        Angle(double hz, double q) {
            const double w = kTwoPi * std::clamp(hz, 5.0, 0.49 * kClipRateHz) / kClipRateHz;
            cosine = std::cos(w);
            alpha = std::sin(w) / (2 * q);
        }
        double cosine, alpha;
    };
    Biquad(double b0, double b1, double b2, const Angle& a) {
        const double a0 = 1 + a.alpha;
        b0_ = static_cast<float>(b0 / a0);
        b1_ = static_cast<float>(b1 / a0);
        b2_ = static_cast<float>(b2 / a0);
        a1_ = static_cast<float>(-2 * a.cosine / a0);
        a2_ = static_cast<float>((1 - a.alpha) / a0);
    }
    float b0_, b1_, b2_, a1_, a2_;
    float z1_ = 0.0F, z2_ = 0.0F;
};

} // namespace quietpass::tuning
