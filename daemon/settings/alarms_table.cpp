#include "daemon/settings/alarms_table.h"

#include <string>
#include <string_view>

#include "daemon/failure.h"
#include "daemon/settings/hours_table.h"
#include "daemon/settings/shift_overlap.h"

namespace quietpass {

namespace {

constexpr double kDayS = 86400.0;
constexpr NumberRange kSpan{0.0, 7.0 * kDayS, "a number of seconds"};
constexpr NumberRange kMinutes{0.0, 7.0 * 1440.0, "a number of minutes", true};
constexpr NumberRange kShare{0.0, 100.0, "a percentage", true};

double minutes_or(StrictTable& table, std::string_view key, double fallback_s) {
    return 60.0 * table.number_or(key, kMinutes, fallback_s / 60.0);
}

int whole_or(StrictTable& table, std::string_view key, double least, double most, int fallback) {
    const double value = table.number_or(key, {least, most, "a whole number"}, fallback);
    if (value != static_cast<double>(static_cast<int>(value))) table.fail(key, "expected a whole number");
    return static_cast<int>(value);
}

std::vector<AlarmCause> causes(StrictTable& table, std::string_view key) {
    std::vector<std::string_view> words;
    for (const AlarmCause cause : kAlarmCauses) words.push_back(name_of(cause));
    std::vector<AlarmCause> found;
    for (const std::size_t at : table.words_or_none(key, words)) found.push_back(kAlarmCauses[at]);
    return found;
}

void read_rate(StrictTable& table, AlarmSettings& alarms) {
    if (table.has("usual_percent")) alarms.usual_percent = table.number("usual_percent", kShare);
    if (table.has("raised_percent")) alarms.raised_percent = table.number("raised_percent", kShare);
    if (alarms.usual_percent.has_value() != alarms.raised_percent.has_value()) {
        table.fail(alarms.usual_percent ? "usual_percent" : "raised_percent",
                   "expected usual_percent and raised_percent, both or neither");
    }
    // Nearer to each other it takes many thousands of passages to tell them apart, and a lattice to match.
    if (alarms.usual_percent && (*alarms.usual_percent < 0.1 || *alarms.raised_percent > 90.0 ||
                                 *alarms.raised_percent < 1.5 * *alarms.usual_percent)) {
        table.fail("raised_percent",
                   "expected 1.5 times usual_percent or more, with usual_percent from 0.1 and raised_percent "
                   "up to 90");
    }
    alarms.false_alarm_passages = table.number_or(
        "false_alarm_passages", {100.0, 1e6, "a number of passages"}, alarms.false_alarm_passages);
    alarms.vocal_of = whole_or(table, "vocal_of", 1, 10000, alarms.vocal_of);
    alarms.vocal_k = whole_or(table, "vocal_k", 1, 10000, alarms.vocal_k);
    if (alarms.vocal_k > alarms.vocal_of) {
        table.fail(table.has("vocal_k") ? "vocal_k" : "vocal_of", "expected vocal_k to be vocal_of at most");
    }
}

void read_quiet_times(StrictTable& table, const std::string& file, AlarmSettings& alarms) {
    for (const toml::table* const quiet : table.tables("quiet")) {
        StrictTable strict(*quiet, file, "alarms.quiet");
        ShiftSettings hours;
        hours.name = "quiet";
        read_hours(strict, hours);
        strict.finish();
        alarms.quiet_times.push_back(hours);
        if (overlapping_shifts(alarms.quiet_times))
            strict.fail("start", "these quiet times overlap with others");
    }
}

} // namespace

void read_alarms(StrictTable& table, AlarmSettings& alarms) {
    alarms.off = causes(table, "off");
    if (table.has("at_once")) alarms.at_once = causes(table, "at_once");
    read_rate(table, alarms);
    alarms.stunned_once_percent =
        table.number_or("stunned_once_percent", kShare, alarms.stunned_once_percent);
    alarms.stunned_once_of = whole_or(table, "stunned_once_of", 1, 10000, alarms.stunned_once_of);
    alarms.hold_limit_s =
        table.number_or("hold_limit_s", {0.0, kDayS, "a number of seconds", true}, alarms.hold_limit_s);
    alarms.microphone_lost_s = table.number_or("microphone_lost_s", kSpan, alarms.microphone_lost_s);
    alarms.contacts_lost_s = table.number_or("contacts_lost_s", kSpan, alarms.contacts_lost_s);
    alarms.clock_error_s =
        table.number_or("clock_error_s", {0.01, 3600.0, "a number of seconds"}, alarms.clock_error_s);
    alarms.fit_error_s = table.number_or("fit_error_ms", {1.0, 10000.0, "a number of milliseconds"},
                                         1000.0 * alarms.fit_error_s) /
                         1000.0;
    alarms.disk_low_mb =
        table.number_or("disk_low_mb", {0.0, 1e9, "a number of megabytes"}, alarms.disk_low_mb);
    alarms.no_passage_s = minutes_or(table, "no_passage_minutes", alarms.no_passage_s);
    alarms.nothing_heard_passages =
        whole_or(table, "nothing_heard_passages", 10, 1e6, alarms.nothing_heard_passages);
    alarms.again_s = minutes_or(table, "again_minutes", alarms.again_s);
    alarms.again_at_once_s = table.number_or("again_at_once_s", kSpan, alarms.again_at_once_s);
    alarms.remind_s = minutes_or(table, "remind_minutes", alarms.remind_s);
    alarms.remind_at_once_s = minutes_or(table, "remind_at_once_minutes", alarms.remind_at_once_s);
    alarms.gone_s = table.number_or("gone_s", kSpan, alarms.gone_s);
    alarms.quiet_s = minutes_or(table, "over_after_minutes", alarms.quiet_s);
    read_quiet_times(table, table.file(), alarms);
    table.finish();
}

} // namespace quietpass
