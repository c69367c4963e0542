#include "daemon/health/health_judge.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

constexpr double kQuarter = 0.25;
constexpr double kBlatantHum_db = 5.0; // a frame shows some 17 dB at most: lines leak between its bins
constexpr double kBlatantWind_db = 10.0;
// A compressor's hum has a few strong lines, a broken shield a whole comb of them (common practice).
constexpr int kBlatantLines = 6;

} // namespace

HealthJudge::HealthJudge(const HealthSettings& settings)
    : settings_(settings),
      learn_seconds_(60.0 * settings.learn_minutes),
      keep_a_minute_(std::exp2(-1.0 / (60.0 * settings.history_hours))),
      runs_{BadRun(settings.fault_after_s), BadRun(settings.fault_after_s), BadRun(settings.fault_after_s),
            BadRun(settings.fault_after_s)} {}

Signs HealthJudge::signs_of(const SecondFigures& second, const Row& row) const noexcept {
    const bool known = usual_known();
    Signs signs{};
    const double hum_over_db = second.hum_db - second.but_hum_db;
    signs[kHumSign] =
        known
            ? hum_over_db >= settings_.hum_over_rest_db && row[kHum] >= high_[kHum] + settings_.hum_rise_db
            : hum_over_db >= settings_.hum_over_rest_db + kBlatantHum_db && second.hum_lines >= kBlatantLines;
    const double wind_over_db = second.rumble_db - second.above_db;
    signs[kWindSign] =
        !signs[kHumSign] && (known ? wind_over_db >= settings_.wind_over_rest_db &&
                                         row[kRumble] >= high_[kRumble] + settings_.wind_rise_db
                                   : wind_over_db >= settings_.wind_over_rest_db + kBlatantWind_db);
    signs[kCoveredSign] = known && row[kHigh] <= low_[kHigh] - settings_.covered_loss_db &&
                          row[kTilt] <= low_[kTilt] - settings_.covered_loss_db;
    const bool explained = signs[kHumSign] || signs[kWindSign] || signs[kCoveredSign];
    signs[kLevelFarSign] = known && !explained &&
                           (row[kBand] <= low_[kBand] - settings_.level_far_db ||
                            row[kBand] >= high_[kBand] + settings_.level_far_db);
    return signs;
}

Signs HealthJudge::judge(const SecondFigures& second) noexcept {
    const Row row = {second.hum_db, second.rumble_db, second.high_db - second.body_db, second.high_db,
                     second.band_db};
    const Signs signs = signs_of(second, row);
    bool trouble = false;
    bool began = false;
    for (std::size_t sign = 0; sign < kSigns; ++sign) {
        const bool was_on = runs_[sign].on();
        if (const auto bad = runs_[sign].take(second.start_s, second.end_s, signs[sign])) {
            found_[found_count_++] = {bad->start_s, bad->end_s, kCauseOfSign[sign]};
        }
        trouble = trouble || runs_[sign].on();
        began = began || (runs_[sign].on() && !was_on);
    }
    if (began) late_count_ = 0;
    if (!trouble) {
        if (late_count_ == kLearnLate) {
            learn(late_[late_first_]);
            late_first_ = (late_first_ + 1) % kLearnLate;
            --late_count_;
        }
        late_[(late_first_ + late_count_) % kLearnLate] = row;
        ++late_count_;
    }
    return signs;
}

void HealthJudge::learn(const Row& row) noexcept {
    for (std::size_t measure = 0; measure < kMeasures; ++measure) histories_[measure].add(row[measure]);
    learned_ += 1.0;
    if (++learned_in_minute_ < 60) return;
    learned_in_minute_ = 0;
    for (std::size_t measure = 0; measure < kMeasures; ++measure) {
        histories_[measure].fade(keep_a_minute_);
        low_[measure] = histories_[measure].quantile_db(kQuarter);
        high_[measure] = histories_[measure].quantile_db(1.0 - kQuarter);
    }
}

void HealthJudge::pass_by(double end_s) noexcept {
    for (BadRun& run : runs_) run.pass_by(end_s);
}

bool HealthJudge::take(HealthFault& out) noexcept {
    if (found_count_ == 0) return false;
    out = found_[0];
    std::copy(found_.begin() + 1, found_.end(), found_.begin());
    --found_count_;
    return true;
}

double HealthJudge::settled_until_s() const noexcept {
    double settled_s = runs_[0].settled_until_s();
    for (const BadRun& run : runs_) settled_s = std::min(settled_s, run.settled_until_s());
    return settled_s;
}

} // namespace quietpass
