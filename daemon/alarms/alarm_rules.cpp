#include "daemon/alarms/alarm_rules.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace quietpass {

namespace {

bool among(AlarmCause cause, const std::vector<AlarmCause>& causes) {
    return std::find(causes.begin(), causes.end(), cause) != causes.end();
}

std::int64_t ns(double seconds) {
    return std::llround(seconds * 1e9);
}

} // namespace

AlarmRules alarm_rules(AlarmCause cause, const AlarmSettings& settings) {
    AlarmRules rules;
    rules.nature = nature_of(cause);
    rules.at_once = settings.at_once ? among(cause, *settings.at_once) : rules.nature.at_once;
    rules.again_ns = ns(rules.at_once ? settings.again_at_once_s : settings.again_s);
    rules.remind_ns = ns(rules.at_once ? settings.remind_at_once_s : settings.remind_s);
    rules.over_ns = ns(rules.nature.end == AlarmEnd::kQuiet ? settings.quiet_s : settings.gone_s);
    return rules;
}

bool is_off(AlarmCause cause, const AlarmSettings& settings) {
    return among(cause, settings.off);
}

} // namespace quietpass
