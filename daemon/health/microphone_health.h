// Tells when a microphone is dead or overdriven, from its samples alone, so that silence is never a quiet
// animal.
//
// Silent: the level of whole 0.1 s windows, mean removed (a dead capsule may leave a constant offset), stays
// below silent_below_db (dB re a full-scale sine) for silent_after_s. Clipped: in any second, told to 0.1 s,
// at least clipped_share of the samples stand at full scale; the fault is from the first to the last of them.
// Both limits are settings; common practice, no source. Each whole second is measured on the way, for what
// watches over the rest (health_judge.h).
//
// Pure: no clock, no I/O. process() and lose() are noexcept and allocate nothing; at most kMostOpen finished
// faults and kMostSeconds seconds wait for take() — the driver takes after each block. Times are seconds of
// this microphone's sample clock.
#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "daemon/health/health_fault.h"
#include "daemon/health/second_figures.h"
#include "daemon/health/second_spectrum.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

class MicrophoneHealth {
  public:
    MicrophoneHealth(double sample_rate_hz, const HealthSettings& settings);

    void process(std::span<const float> samples) noexcept;
    void lose(std::int64_t count) noexcept;
    void finish() noexcept;

    // Takes the next stretch of trouble. A long one comes in pieces that touch, so that what is known is
    // known soon. False when there is none.
    bool take(HealthFault& out) noexcept;

    // Takes the figures of the next whole second. Of more than wait, the oldest are dropped.
    bool take(SecondFigures& out) noexcept;

    // Trouble before this time has been handed out or never was, seconds.
    double settled_until_s() const noexcept;

  private:
    void end_window() noexcept;
    void end_clipping_window() noexcept;
    void judge_clipping(std::int64_t samples) noexcept;
    void end_second() noexcept;
    void measure_second() noexcept;
    void put(double start_s, double end_s, GapCause cause) noexcept;
    double seconds(std::int64_t sample) const noexcept { return static_cast<double>(sample) / rate_hz_; }

    static constexpr std::size_t kMostOpen = 256;
    static constexpr std::size_t kMostSeconds = 16;
    static constexpr int kWindowsASecond = 10;

    double rate_hz_;
    HealthSettings settings_;
    std::int64_t window_samples_;

    std::int64_t next_sample_ = 0;  // index of the next sample of the stream
    std::int64_t window_start_ = 0; // index of the first sample of the window under way
    std::int64_t in_window_ = 0;
    double sum_ = 0.0;
    double sum_of_squares_ = 0.0;
    SecondSpectrum spectrum_;
    double variance_in_second_ = 0.0; // summed over its windows
    std::int64_t clipped_in_second_ = 0;
    std::int64_t clipped_in_window_ = 0;
    std::array<std::int64_t, kWindowsASecond> clipped_{}; // in the latest windows, the newest last
    int clipping_windows_ = 0;                            // of them, heard since the start or a loss
    std::int64_t clipped_told_ = 0;                       // up to where clipping was handed out
    std::int64_t second_start_ = 0;
    int windows_in_second_ = 0;
    std::int64_t quiet_since_ = -1; // first sample of the quiet stretch; −1: not quiet
    std::int64_t quiet_told_ = -1;  // up to where that stretch was handed out; −1: not yet a fault

    std::array<HealthFault, kMostOpen> waiting_{};
    std::size_t first_ = 0;
    std::size_t count_ = 0;
    std::array<SecondFigures, kMostSeconds> seconds_{};
    std::size_t first_second_ = 0;
    std::size_t second_count_ = 0;
};

} // namespace quietpass
