// Judges the seconds of one microphone, in order: mains hum that swamps it, wind or water on the capsule, the
// high end lost (covered up, wet foam), a level far from its own history.
//
// Plants are loud, so every measure is held against what this microphone usually hears while the line works:
// - hum: the mains lines together stand hum_over_rest_db over all the rest, and hum_rise_db over their usual;
// - wind: 15 to 80 Hz stands wind_over_rest_db over all from 200 Hz up, and wind_rise_db over its usual. Wind
//   and drops shake the capsule below what a hall holds (common practice);
// - covered: 2 to 8 kHz lies covered_loss_db under its usual, by itself and against 200 Hz to 1 kHz. Both, so
//   that neither a passing engine nor a quiet moment is taken for a cover;
// - level far: 100 Hz to 8 kHz lies level_far_db over or under its usual.
// The usual is the range of the middle half of the seconds: louder is over its upper border, softer under its
// lower one. Many an ordinary second lies outside by more; a fault is when most do, for long (bad_run.h). It
// is learned from seconds of work without a fault, a minute late so that a fault that begins is not learned.
// Until learn_minutes of these have passed only hum (5 dB more, with six lines or more) and wind (10 dB more)
// that swamp everything are found.
//
// Pure and deterministic; allocates nothing. Not thread-safe. Seconds of the microphone's own clock.
#pragma once

#include <array>
#include <cstddef>

#include "daemon/health/bad_run.h"
#include "daemon/health/health_fault.h"
#include "daemon/health/level_history.h"
#include "daemon/health/second_figures.h"
#include "daemon/health/signs.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class HealthJudge {
  public:
    explicit HealthJudge(const HealthSettings& settings);

    // The signs of a second of work; its faults wait for take(), which comes before the next second.
    Signs judge(const SecondFigures& second) noexcept;
    // A second that can't be judged: the line stood, or the microphone was silent or clipped.
    void pass_by(double end_s) noexcept;

    bool take(HealthFault& out) noexcept;
    bool usual_known() const noexcept { return learned_ >= learn_seconds_; }
    // No fault before this time is still to come, seconds.
    double settled_until_s() const noexcept;

  private:
    enum Measure : std::size_t { kHum, kRumble, kTilt, kHigh, kBand, kMeasures };
    using Row = std::array<double, kMeasures>;

    Signs signs_of(const SecondFigures& second, const Row& row) const noexcept;
    void learn(const Row& row) noexcept;

    static constexpr std::size_t kLearnLate = 60;

    HealthSettings settings_;
    double learn_seconds_;
    double keep_a_minute_;
    std::array<BadRun, kSigns> runs_;
    std::array<HealthFault, kSigns> found_{};
    std::size_t found_count_ = 0;

    std::array<LevelHistory, kMeasures> histories_{};
    Row low_{};
    Row high_{};
    double learned_ = 0.0; // seconds
    int learned_in_minute_ = 0;
    std::array<Row, kLearnLate> late_{}; // a ring: seconds not yet learned
    std::size_t late_first_ = 0;
    std::size_t late_count_ = 0;
};

} // namespace quietpass
