#include "daemon/health/microphone_health.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

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
        clipped_in_window_ += clipped;
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
    end_clipping_window();
    if (clipping_windows_ == kWindowsASecond) judge_clipping(kWindowsASecond * window_samples_);
    window_start_ = next_sample_;
    in_window_ = 0;
    sum_ = 0.0;
    sum_of_squares_ = 0.0;
    if (++windows_in_second_ == kWindowsASecond) end_second();
}

void MicrophoneHealth::end_clipping_window() noexcept {
    std::shift_left(clipped_.begin(), clipped_.end(), 1);
    clipped_.back() = std::exchange(clipped_in_window_, 0);
    clipping_windows_ = std::min(clipping_windows_ + 1, kWindowsASecond);
}

// samples: of the windows that are there.
void MicrophoneHealth::judge_clipping(std::int64_t samples) noexcept {
    const std::int64_t clipped = std::accumulate(clipped_.begin(), clipped_.end(), std::int64_t{0});
    if (clipped == 0 || static_cast<double>(clipped) < settings_.clipped_share * static_cast<double>(samples))
        return;
    // The newest window may be a shorter one, at the end.
    const auto start_of = [&](int windows_ago) {
        return next_sample_ - in_window_ - windows_ago * window_samples_;
    };
    int first = kWindowsASecond - 1;
    while (clipped_[static_cast<std::size_t>(kWindowsASecond - 1 - first)] == 0) --first;
    int last = 0;
    while (clipped_[static_cast<std::size_t>(kWindowsASecond - 1 - last)] == 0) ++last;
    const std::int64_t start = std::max(start_of(first), clipped_told_);
    const std::int64_t end = last == 0 ? next_sample_ : start_of(last - 1);
    if (end <= start) return;
    put(seconds(start), seconds(end), GapCause::kClipped);
    clipped_told_ = end;
}

void MicrophoneHealth::end_second() noexcept {
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
    clipped_in_window_ = 0;
    clipped_.fill(0);
    clipping_windows_ = 0;
    spectrum_.clear();
    quiet_since_ = -1;
    quiet_told_ = -1;
}

void MicrophoneHealth::finish() noexcept {
    // The last second is whole windows and what is left; a recording shorter than a second is one.
    if (in_window_ > 0) {
        end_clipping_window();
        judge_clipping((clipping_windows_ - 1) * window_samples_ + in_window_);
    } else if (clipping_windows_ < kWindowsASecond) {
        judge_clipping(clipping_windows_ * window_samples_);
    }
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
    // What was clipped within the last second may yet be part of a clipped one.
    for (int ago = kWindowsASecond - 1; ago > 0; --ago) {
        if (clipped_[static_cast<std::size_t>(kWindowsASecond - ago)] == 0) continue;
        settled = std::min(settled, std::max(window_start_ - ago * window_samples_, clipped_told_));
        break;
    }
    return seconds(settled);
}

} // namespace quietpass
