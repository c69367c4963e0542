// All that watches over one microphone's health: dead or overdriven at once (microphone_health.h), the rest
// second by second against what is usual while the line works (health_judge.h), and the figures of each
// minute.
//
// Pure: no clock, no I/O; the result depends on the samples and on when the line worked only. Not
// thread-safe. Times are seconds of this microphone's sample clock.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <span>

#include "daemon/health/health_fault.h"
#include "daemon/health/health_judge.h"
#include "daemon/health/microphone_health.h"
#include "daemon/health/microphone_minute.h"
#include "daemon/health/minute_tally.h"

namespace quietpass {

class MicrophoneWatch {
  public:
    MicrophoneWatch(double sample_rate_hz, const HealthSettings& settings);

    void process(std::span<const float> samples);
    void lose(std::int64_t count);
    // No more samples will come.
    void finish();

    // Judges the seconds that end at or before known_until_s; worked tells whether the line worked at a time.
    void judge_until(double known_until_s, const std::function<bool(double)>& worked);

    // Takes the next stretch of trouble. A long one comes in pieces that touch. False when there is none.
    bool take(HealthFault& out);
    // Takes the next minute's figures, of which the microphone's name and the levels' reference are the
    // caller's to fill in.
    bool take(MicrophoneMinute& out);

    // Trouble before this time has been handed out or never was, seconds.
    double settled_until_s() const;

  private:
    struct Second {
        SecondFigures figures;
        bool heard = true; // false: a stretch that was lost
    };
    void collect();

    HealthSettings settings_;
    double rate_hz_;
    std::int64_t next_sample_ = 0;
    MicrophoneHealth health_;
    HealthJudge judge_;
    MinuteTally minute_;
    bool finished_ = false;
    std::deque<Second> seconds_; // not yet judged
    std::deque<HealthFault> faults_;
    std::deque<MicrophoneMinute> minutes_;
};

} // namespace quietpass
