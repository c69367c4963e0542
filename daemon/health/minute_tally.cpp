#include "daemon/health/minute_tally.h"

#include <algorithm>
#include <cmath>

#include "dsp/decibel.h"

namespace quietpass {

namespace {

constexpr double kMinute_s = 60.0;
constexpr double kBackgroundShare = 0.1;

// The value that this share of them lies below; sorts them.
double quantile(std::vector<double>& values, double share) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

} // namespace

MinuteTally::MinuteTally() {
    for (std::vector<double>* values : {&levels_db_, &rumble_db_, &body_db_, &high_db_, &hum_db_}) {
        values->reserve(static_cast<std::size_t>(kMinute_s) + 4);
    }
}

std::optional<MicrophoneMinute> MinuteTally::add(const SecondFigures& second, bool worked, bool silent,
                                                 bool clipped, const Signs& signs, bool usual_known) {
    std::optional<MicrophoneMinute> before;
    const double start_s = kMinute_s * std::floor(second.start_s / kMinute_s);
    if (!levels_db_.empty() && start_s != minute_.start_s) before = finish();
    if (levels_db_.empty()) {
        minute_ = MicrophoneMinute{};
        minute_.start_s = start_s;
        energy_ = 0.0;
    }
    const double length_s = second.end_s - second.start_s;
    minute_.end_s = start_s + kMinute_s;
    minute_.heard_s += length_s;
    minute_.usual_known = usual_known;
    const auto count = [length_s](double& seconds, bool so) { seconds += so ? length_s : 0.0; };
    count(minute_.worked_s, worked);
    count(minute_.silent_s, silent);
    count(minute_.clipped_s, clipped);
    count(minute_.hum_s, signs[kHumSign]);
    count(minute_.wind_s, signs[kWindSign]);
    count(minute_.covered_s, signs[kCoveredSign]);
    count(minute_.level_far_s, signs[kLevelFarSign]);
    energy_ += dsp::power_from_decibel(second.level_db) * length_s;
    levels_db_.push_back(second.level_db);
    rumble_db_.push_back(second.rumble_db);
    body_db_.push_back(second.body_db);
    high_db_.push_back(second.high_db);
    hum_db_.push_back(second.hum_db);
    return before;
}

std::optional<MicrophoneMinute> MinuteTally::finish() {
    if (levels_db_.empty()) return std::nullopt;
    minute_.level_db = dsp::decibel(energy_ / minute_.heard_s);
    minute_.background_db = quantile(levels_db_, kBackgroundShare);
    minute_.rumble_db = quantile(rumble_db_, 0.5);
    minute_.body_db = quantile(body_db_, 0.5);
    minute_.high_db = quantile(high_db_, 0.5);
    minute_.hum_db = quantile(hum_db_, 0.5);
    for (std::vector<double>* values : {&levels_db_, &rumble_db_, &body_db_, &high_db_, &hum_db_}) {
        values->clear();
    }
    return minute_;
}

} // namespace quietpass
