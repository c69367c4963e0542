// A sound level meter for one channel: frequency weighting, exponential time weighting, equivalent level,
// exposure level.
//
// in: samples, full scale ±1, finite. out: dB re a full-scale sine (amplitude 1 reads 0 dB with Z, and with A
// or C at 1 kHz); add the calibration offset for dB SPL. Time weightings F 125 ms, S 1 s (IEC 61672-1).
// Levels of silence read −200 dB. Depends on the samples only, not on the blocks. Allocates nothing after
// construction. Not thread-safe.
#pragma once

#include <cstdint>
#include <span>

#include "dsp/weighting.h"

namespace quietpass::dsp {

enum class TimeWeighting { kFast, kSlow };

constexpr double time_constant_s(TimeWeighting weighting) {
    return weighting == TimeWeighting::kFast ? 0.125 : 1.0;
}

class LevelMeter {
  public:
    LevelMeter(double rate_hz, Weighting weighting, TimeWeighting time_weighting);

    void process(std::span<const float> samples) noexcept;

    double level_db() const noexcept;      // time-weighted level now
    double maximum_db() const noexcept;    // highest time-weighted level since clear()
    double equivalent_db() const noexcept; // Leq since clear()
    double exposure_db() const noexcept;   // LE (LAE with A) since clear(): energy re a 1 s full-scale sine
    double duration_s() const noexcept;    // since clear()

    // Starts a new measurement of maximum, Leq and LE; the running level goes on.
    void clear() noexcept;
    // Forgets everything, filter states included.
    void reset() noexcept;

  private:
    WeightingFilter filter_;
    double rate_hz_;
    double keep_; // decay of the exponential average in one sample
    double mean_square_ = 0.0;
    double maximum_ = 0.0;
    double energy_ = 0.0;
    std::int64_t count_ = 0;
};

} // namespace quietpass::dsp
