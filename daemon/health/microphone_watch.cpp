#include "daemon/health/microphone_watch.h"

#include <algorithm>

namespace quietpass {

namespace {

// What is processed at a time: less than a second, so that no finished second waits in MicrophoneHealth.
constexpr std::size_t kPiece = 4096;

} // namespace

MicrophoneWatch::MicrophoneWatch(double sample_rate_hz, const HealthSettings& settings)
    : settings_(settings), rate_hz_(sample_rate_hz), health_(sample_rate_hz, settings), judge_(settings) {}

void MicrophoneWatch::process(std::span<const float> samples) {
    while (!samples.empty()) {
        const auto piece = samples.first(std::min(samples.size(), kPiece));
        samples = samples.subspan(piece.size());
        next_sample_ += static_cast<std::int64_t>(piece.size());
        health_.process(piece);
        collect();
    }
}

void MicrophoneWatch::collect() {
    SecondFigures second;
    while (health_.take(second)) seconds_.push_back({second});
    HealthFault fault;
    while (health_.take(fault)) faults_.push_back(fault);
}

void MicrophoneWatch::lose(std::int64_t count) {
    health_.lose(count);
    SecondFigures lost;
    lost.start_s = static_cast<double>(next_sample_) / rate_hz_;
    next_sample_ += count;
    lost.end_s = static_cast<double>(next_sample_) / rate_hz_;
    seconds_.push_back({lost, false});
}

void MicrophoneWatch::finish() {
    health_.finish();
    finished_ = true;
    collect();
}

void MicrophoneWatch::judge_until(double known_until_s, const std::function<bool(double)>& worked) {
    while (!seconds_.empty() && seconds_.front().figures.end_s <= known_until_s) {
        const auto [second, heard] = seconds_.front();
        seconds_.pop_front();
        if (!heard) {
            judge_.pass_by(second.end_s);
            continue;
        }
        const bool works = worked(second.end_s);
        const bool silent = second.level_db < settings_.silent_below_db;
        const bool clipped = second.clipped_share >= settings_.clipped_share;
        Signs signs{};
        if (works && !silent && !clipped) {
            signs = judge_.judge(second);
            HealthFault fault;
            while (judge_.take(fault)) faults_.push_back(fault);
        } else {
            judge_.pass_by(second.end_s);
        }
        if (auto minute = minute_.add(second, works, silent, clipped, signs, judge_.usual_known())) {
            minutes_.push_back(*minute);
        }
    }
    if (!finished_ || !seconds_.empty()) return;
    if (auto minute = minute_.finish()) minutes_.push_back(*minute);
}

bool MicrophoneWatch::take(HealthFault& out) {
    if (faults_.empty()) return false;
    out = faults_.front();
    faults_.pop_front();
    return true;
}

bool MicrophoneWatch::take(MicrophoneMinute& out) {
    if (minutes_.empty()) return false;
    out = minutes_.front();
    minutes_.pop_front();
    return true;
}

double MicrophoneWatch::settled_until_s() const {
    double settled_s = health_.settled_until_s();
    if (!seconds_.empty()) settled_s = std::min(settled_s, seconds_.front().figures.start_s);
    return std::min(settled_s, judge_.settled_until_s());
}

} // namespace quietpass
