#include "daemon/health/microphone_health.h"

#include <algorithm>
#include <cmath>

#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr float kFullScale = 0.998F;

} // namespace

MicrophoneHealth::MicrophoneHealth(double sample_rate_hz, const HealthSettings& settings)
    : rate_hz_(sample_rate_hz),
      settings_(settings),
      window_samples_(static_cast<std::int64_t>(std::llround(sample_rate_hz / kWindowsASecond))),
      spectrum_(sample_rate_hz) {}

void MicrophoneHealth::process(std::span<const float> samples) noexcept {
    while (!samples.empty()) {
        const auto room = static_cast<std::size_t>(window_samples_ - in_window_);
        const std::span<const float> part = samples.first(std::min(room, samples.size()));
        // In order and in double, so that the sums don't depend on how the samples were cut into blocks.
        double sum = sum_;
        double sum_of_squares = sum_of_squares_;
        std::int64_t clipped = 0;
        for (const float sample : part) {
            const double value = sample;
            sum += value;
            sum_of_squares += value * value;
            clipped += std::abs(sample) >= kFullScale ? 1 : 0;
        }
        sum_ = sum;
        sum_of_squares_ = sum_of_squares;
        clipped_in_second_ += clipped;
        spectrum_.take(part);
        in_window_ += static_cast<std::int64_t>(part.size());
        next_sample_ += static_cast<std::int64_t>(part.size());
        samples = samples.subspan(part.size());
        if (in_window_ == window_samples_) end_window();
    }
}

void MicrophoneHealth::end_window() noexcept {
    const double count = static_cast<double>(in_window_);
    const double mean = sum_ / count;
    const double variance = std::max(sum_of_squares_ / count - mean * mean, 0.0);
    // A full-scale sine has a mean square of 1/2.
    const double level_db = 10.0 * std::log10(2.0 * variance + 1e-30);
    variance_in_second_ += variance;
    if (level_db < settings_.silent_below_db) {
        if (quiet_since_ < 0) quiet_since_ = window_start_;
        const bool long_enough = seconds(next_sample_ - quiet_since_) >= settings_.silent_after_s;
        if (quiet_told_ >= 0 || long_enough) {
            put(seconds(quiet_told_ >= 0 ? quiet_told_ : quiet_since_), seconds(next_sample_),
                GapCause::kSilent);
            quiet_told_ = next_sample_;
        }
    } else {
        quiet_since_ = -1;
        quiet_told_ = -1;
    }
    window_start_ = next_sample_;
    in_window_ = 0;
    sum_ = 0.0;
    sum_of_squares_ = 0.0;
    if (++windows_in_second_ == kWindowsASecond) end_second();
}

void MicrophoneHealth::end_second() noexcept {
    const double samples = static_cast<double>(next_sample_ - second_start_);
    if (samples > 0 && static_cast<double>(clipped_in_second_) >= settings_.clipped_share * samples) {
        put(seconds(second_start_), seconds(next_sample_), GapCause::kClipped);
    }
    if (windows_in_second_ == kWindowsASecond) measure_second();
    second_start_ = next_sample_;
    windows_in_second_ = 0;
    variance_in_second_ = 0.0;
    clipped_in_second_ = 0;
    spectrum_.clear();
}

void MicrophoneHealth::measure_second() noexcept {
    SecondFigures second;
    if (!spectrum_.end_second(second)) return;
    second.start_s = seconds(second_start_);
    second.end_s = seconds(next_sample_);
    second.level_db = dsp::decibel(2.0 * variance_in_second_ / kWindowsASecond);
    second.clipped_share =
        static_cast<double>(clipped_in_second_) / static_cast<double>(next_sample_ - second_start_);
    if (second_count_ == kMostSeconds) {
        first_second_ = (first_second_ + 1) % kMostSeconds;
        --second_count_;
    }
    seconds_[(first_second_ + second_count_++) % kMostSeconds] = second;
}

void MicrophoneHealth::lose(std::int64_t count) noexcept {
    next_sample_ += count;
    window_start_ = next_sample_;
    second_start_ = next_sample_;
    in_window_ = 0;
    windows_in_second_ = 0;
    sum_ = 0.0;
    sum_of_squares_ = 0.0;
    variance_in_second_ = 0.0;
    clipped_in_second_ = 0;
    spectrum_.clear();
    quiet_since_ = -1;
    quiet_told_ = -1;
}

void MicrophoneHealth::finish() noexcept {
    end_second();
}

void MicrophoneHealth::put(double start_s, double end_s, GapCause cause) noexcept {
    // Touching pieces of one trouble that nobody has taken yet become one.
    if (count_ > 0) {
        HealthFault& last = waiting_[(first_ + count_ - 1) % kMostOpen];
        if (last.cause == cause && last.end_s == start_s) {
            last.end_s = end_s;
            return;
        }
        if (count_ == kMostOpen) {
            last.end_s = std::max(last.end_s, end_s);
            return;
        }
    }
    waiting_[(first_ + count_) % kMostOpen] = {start_s, end_s, cause};
    ++count_;
}

bool MicrophoneHealth::take(HealthFault& out) noexcept {
    if (count_ == 0) return false;
    out = waiting_[first_];
    first_ = (first_ + 1) % kMostOpen;
    --count_;
    return true;
}

bool MicrophoneHealth::take(SecondFigures& out) noexcept {
    if (second_count_ == 0) return false;
    out = seconds_[first_second_];
    first_second_ = (first_second_ + 1) % kMostSeconds;
    --second_count_;
    return true;
}

double MicrophoneHealth::settled_until_s() const noexcept {
    std::int64_t settled = std::min(window_start_, second_start_);
    if (quiet_since_ >= 0 && quiet_told_ < 0) settled = std::min(settled, quiet_since_);
    return seconds(settled);
}

} // namespace quietpass
