#include "daemon/alarms/rate_watch.h"

namespace quietpass {

namespace {

// Where the station file gives no shares, common practice: the limit is the raised share, and this much of it
// the usual one (2 % for a limit of 5 %).
constexpr double kUsualOfLimit = 0.4;

} // namespace

std::optional<CusumDesign> cusum_of(const StationSettings& settings) {
    if (settings.species == Species::kSheep) return std::nullopt;
    const AlarmSettings& alarms = settings.alarms;
    const double raised = alarms.raised_percent.value_or(settings.scoring.limit_percent);
    const double usual = alarms.usual_percent.value_or(kUsualOfLimit * raised);
    if (usual < 0.1 || raised > 90.0) return std::nullopt;
    return design_cusum(usual / 100.0, raised / 100.0, alarms.false_alarm_passages);
}

RateWatch::RateWatch(const StationSettings& settings)
    : settings_(settings.alarms),
      counts_stuns_(settings.has(Role::kStunned)),
      scores_(settings.species != Species::kSheep),
      design_(cusum_of(settings)),
      vocal_(static_cast<std::size_t>(settings.alarms.vocal_of)),
      stunned_twice_(static_cast<std::size_t>(settings.alarms.stunned_once_of)) {
    if (design_) cusum_.emplace(*design_);
}

bool RateWatch::add(const Passage& passage) {
    if (counts_stuns_ && passage.stuns >= 1 && passage.excluded != "contacts_lost")
        stunned_twice_.add(passage.stuns > 1);
    if (!scores_ || !passage.excluded.empty()) return false;
    vocal_.add(passage.vocal);
    ++since_signal_;
    ++silent_passages_;
    if (passage.calls + passage.calls_after_stun > 0) silent_passages_ = 0;
    if (!cusum_ || !cusum_->add(passage.vocal)) return false;
    since_signal_ = 0;
    return true;
}

bool RateWatch::rate_is_over() const {
    return !cusum_ || (since_signal_ >= settings_.vocal_of && cusum_->level() == 0);
}

bool RateWatch::stunned_once_low() const {
    const double allowed =
        static_cast<double>(settings_.stunned_once_of) * (1.0 - settings_.stunned_once_percent / 100.0);
    return static_cast<double>(stunned_twice_.hits()) > allowed + 1e-9;
}

} // namespace quietpass
