#include "daemon/station/microphone.h"

#include <algorithm>

namespace quietpass {

StationMicrophone::StationMicrophone(const MicrophoneSettings& settings, double sample_rate_hz,
                                     const Profile* profile, const HealthSettings& health)
    : settings_(settings), rate_hz_(sample_rate_hz), health_(sample_rate_hz, health) {
    if (profile != nullptr) ear_.emplace(sample_rate_hz, *profile);
}

void StationMicrophone::keep_sound(double longest_s) {
    if (!memory_) memory_.emplace(rate_hz_, longest_s);
}

void StationMicrophone::hear(std::span<const float> samples) {
    if (ear_) ear_->process(samples);
    health_.process(samples);
    if (memory_) memory_->hear(samples);
    samples_ += static_cast<std::int64_t>(samples.size());
}

double StationMicrophone::lose(std::int64_t count) {
    const double start_s = heard_until_s();
    samples_ += count;
    if (ear_) ear_->skip(count);
    health_.lose(count);
    if (memory_) memory_->lose(count);
    return start_s;
}

void StationMicrophone::finish() {
    if (ear_) ear_->finish();
    health_.finish();
}

bool StationMicrophone::take(HeardCall& out) {
    if (!ear_ || !ear_->take(out)) return false;
    out.start_s += offset_s;
    out.end_s += offset_s;
    return true;
}

bool StationMicrophone::take(HeardNoise& out) {
    if (!ear_ || !ear_->take(out)) return false;
    out.start_s += offset_s;
    out.end_s += offset_s;
    return true;
}

bool StationMicrophone::take_first_word(Ear::FirstWord& out) {
    if (!ear_ || !ear_->take_first_word(out)) return false;
    out.heard.start_s += offset_s;
    out.heard.end_s += offset_s;
    out.known_at_s += offset_s;
    return true;
}

void StationMicrophone::judge_health(double known_s, const std::function<bool(double)>& worked,
                                     GapLog& gaps) {
    health_.judge_until(known_s - offset_s, [&](double own_s) { return worked(own_s + offset_s); });
    HealthFault fault;
    while (health_.take(fault)) {
        gaps.add(settings_.name, fault.start_s + offset_s, fault.end_s + offset_s, fault.cause);
    }
}

bool StationMicrophone::take(MicrophoneMinute& minute) {
    if (!health_.take(minute)) return false;
    minute.microphone = settings_.name;
    minute.start_s += offset_s;
    minute.end_s += offset_s;
    if (settings_.reference) {
        minute.sensitivity_db = sensitivity_db();
        for (double* level_db : {&minute.level_db, &minute.background_db, &minute.rumble_db, &minute.body_db,
                                 &minute.high_db, &minute.hum_db}) {
            *level_db += *minute.sensitivity_db;
        }
    }
    return true;
}

double StationMicrophone::calls_settled_until_s() const {
    return ear_ ? ear_->settled_until_s() + offset_s : heard_until_s();
}

double StationMicrophone::noises_settled_until_s() const {
    return ear_ ? ear_->noises_settled_until_s() + offset_s : heard_until_s();
}

double StationMicrophone::settled_until_s() const {
    return std::min(
        {calls_settled_until_s(), noises_settled_until_s(), health_.settled_until_s() + offset_s});
}

} // namespace quietpass
