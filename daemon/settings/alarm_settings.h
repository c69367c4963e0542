// [alarms] of the station file, checked: when an alarm is raised and how often it is told of. Plain values;
// deploy/station.md has the basis of each default.
#pragma once

#include <optional>
#include <vector>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/settings/shift_settings.h"

namespace quietpass {

struct AlarmSettings {
    std::vector<AlarmCause> off;                    // never raised
    std::optional<std::vector<AlarmCause>> at_once; // none: those of nature_of()

    // The CUSUM. Without a share the limit of [scoring] is the raised one and 0.4 of it the usual one.
    std::optional<double> usual_percent;
    std::optional<double> raised_percent;
    double false_alarm_passages = 5000.0; // between false alarms, on average
    int vocal_k = 4;                      // of the last …
    int vocal_of = 20;

    double stunned_once_percent = 95.0; // of the last …
    int stunned_once_of = 100;
    double hold_limit_s = 30.0;

    double microphone_lost_s = 5.0;
    double contacts_lost_s = 5.0;
    double clock_error_s = 1.0;
    double fit_error_s = 0.05;
    double disk_low_mb = 2000.0;
    double no_passage_s = 2700.0;
    int nothing_heard_passages = 500;

    double again_s = 600.0; // at the earliest after the last message of the same alarm
    double again_at_once_s = 60.0;
    double remind_s = 1800.0;
    double remind_at_once_s = 300.0;
    double gone_s = 60.0;                   // an alarm that lasts is over when it was gone for so long
    double quiet_s = 1800.0;                // one of a moment, when it did not happen again for so long
    std::vector<ShiftSettings> quiet_times; // only at_once is delivered
};

} // namespace quietpass
