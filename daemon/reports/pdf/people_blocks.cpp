#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/alarms/alarm_words.h"
#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

std::string headline(const std::string& cause, const std::string& source) {
    const auto known = alarm_cause_from(cause);
    return known ? headline_of(*known, source) : cause;
}

std::string what_was_done(const ReportAlarm& alarm, const ReportWords& words) {
    const auto after = [&](std::int64_t utc_ns) { return span_text(utc_ns - alarm.raised_utc_ns); };
    std::string text = alarm.acknowledged_utc_ns
                           ? fmt::format(fmt::runtime(words.acknowledged), alarm.acknowledged_by,
                                         after(*alarm.acknowledged_utc_ns))
                           : words.not_acknowledged;
    if (!alarm.cleared_utc_ns) return text + "; " + words.goes_on;
    const std::string& cleared = alarm.cleared_by.empty() ? words.over_by_itself : words.cleared_by;
    if (alarm.cleared_by.empty()) {
        return text + "; " + fmt::format(fmt::runtime(cleared), after(*alarm.cleared_utc_ns));
    }
    return text + "; " + fmt::format(fmt::runtime(cleared), alarm.cleared_by, after(*alarm.cleared_utc_ns));
}

// One by one: what asks for somebody at once first, then in order of time.
void write_each(Pen& pen, const PageContext& page) {
    std::vector<ReportAlarm> alarms = page.figures.alarms;
    std::stable_sort(alarms.begin(), alarms.end(), [](const ReportAlarm& a, const ReportAlarm& b) {
        return (a.severity == "at_once") > (b.severity == "at_once");
    });
    const TableBlock table({{"", 0.13}, {"", 0.87}}, kTextSize_pt, 3);
    const std::size_t shown = std::min(alarms.size(), page.most_rows);
    for (std::size_t i = 0; i < shown; ++i) {
        const ReportAlarm& alarm = alarms[i];
        std::string text = headline(alarm.cause, alarm.source);
        if (alarm.count > 1) text += ", " + fmt::format(fmt::runtime(page.words.seen_times), alarm.count);
        pen.row(table, {{clock_text(page.time, alarm.raised_utc_ns),
                         text + " – " + what_was_done(alarm, page.words)},
                        false});
    }
    if (shown < alarms.size()) {
        pen.note(fmt::format(fmt::runtime(page.words.more), alarms.size() - shown));
    }
}

// By cause: over a month nobody reads them one by one.
void write_sums(Pen& pen, const PageContext& page) {
    std::map<std::string, std::vector<const ReportAlarm*>> causes;
    for (const ReportAlarm& alarm : page.figures.alarms) causes[alarm.cause].push_back(&alarm);
    std::vector<std::pair<std::string, std::vector<const ReportAlarm*>>> list(causes.begin(), causes.end());
    std::stable_sort(list.begin(), list.end(),
                     [](const auto& a, const auto& b) { return a.second.size() > b.second.size(); });
    const TableBlock table({{"", 0.09, Align::kRight}, {"", 0.91}}, kTextSize_pt, 3);
    for (const auto& [cause, alarms] : list) {
        std::vector<std::int64_t> after;
        std::int64_t open = 0;
        for (const ReportAlarm* alarm : alarms) {
            if (alarm->acknowledged_utc_ns)
                after.push_back(*alarm->acknowledged_utc_ns - alarm->raised_utc_ns);
            if (!alarm->cleared_utc_ns) ++open;
        }
        std::sort(after.begin(), after.end());
        std::string text =
            fmt::format(fmt::runtime(page.words.alarm_sums), headline(cause, ""), after.size());
        if (!after.empty()) {
            text += ", " + fmt::format(fmt::runtime(page.words.median_after),
                                       span_text(after[(after.size() - 1) / 2]));
        }
        if (open > 0) text += "; " + fmt::format(fmt::runtime(page.words.alarm_sums_open), open);
        pen.row(table, {{std::to_string(alarms.size()), text}, false});
    }
}

} // namespace

void write_alarms(Pen& pen, const PageContext& page) {
    pen.heading(page.words.alarms_heading);
    if (page.figures.alarms.empty()) return pen.say(page.words.alarms_none);
    page.figures.one_shift() ? write_each(pen, page) : write_sums(pen, page);
}

void write_changes(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const std::vector<ReportChange>& changes = page.figures.changes;
    pen.heading(words.changes_heading);
    if (changes.empty()) return pen.say(words.changes_none);
    const TableBlock table({{"", 0.06}, {"", 0.25}, {"", 0.69}}, kTextSize_pt, 3);
    // The latest matter most.
    const std::size_t shown = std::min(changes.size(), page.most_rows);
    for (std::size_t i = changes.size() - shown; i < changes.size(); ++i) {
        const ReportChange& change = changes[i];
        std::string text = change.station_part.empty() ? "" : change.station_part + ": ";
        text += change.text;
        if (!change.by.empty()) text += " (" + fmt::format(fmt::runtime(words.change_by), change.by) + ")";
        pen.row(table, {{change.letter, minute_text(page.time, change.at_utc_ns), text}, change.reported});
    }
    if (shown < changes.size()) {
        pen.note(fmt::format(fmt::runtime(words.changes_more), changes.size() - shown));
    }
}

void write_audit(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    pen.heading(words.audit_heading);
    if (!page.figures.audit) return pen.say(words.audit_none);
    const ReportAudit& audit = *page.figures.audit;
    std::string names;
    for (const std::string& name : audit.auditors) names += (names.empty() ? "" : ", ") + name;
    pen.say(fmt::format(fmt::runtime(names.empty() ? words.audit_who_unnamed : words.audit_who), names,
                        audit.agreement.n + audit.not_compared));
    if (audit.agreement.percent) {
        pen.say(fmt::format(fmt::runtime(words.audit_agreed), audit.agreement.k, audit.agreement.n,
                            percent_figure(*audit.agreement.percent),
                            percent_figure(*audit.agreement.percent_low),
                            percent_figure(*audit.agreement.percent_high)));
        pen.say(fmt::format(fmt::runtime(words.audit_counts), audit.vocal_to_both, audit.vocal_to_person_only,
                            audit.vocal_to_machine_only, audit.silent_to_both));
        const auto two = [](const std::optional<double>& value) {
            return value ? fmt::format("{:.2f}", *value) : std::string("–");
        };
        pen.say(fmt::format(fmt::runtime(words.audit_kappa), two(audit.kappa), two(audit.pabak)));
    }
    if (audit.not_compared > 0) {
        pen.say(fmt::format(fmt::runtime(words.audit_left_out), audit.not_compared));
    }
}

} // namespace quietpass
