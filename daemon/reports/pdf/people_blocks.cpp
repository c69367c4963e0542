#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/alarms/alarm_words.h"
#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

std::string headline(const std::string& cause, const std::string& source, const ReportWords& words) {
    const auto known = alarm_cause_from(cause);
    return (known ? words.causes.at(*known) : cause) + (source.empty() ? "" : ": " + source);
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

// In order of time, one by one.
void write_each(Pen& pen, const PageContext& page) {
    const TableBlock table({{"", 0.13}, {"", 0.87}}, kTextSize_pt, 3);
    for (const ReportAlarm& alarm : page.figures.alarms) {
        std::string text = headline(alarm.cause, alarm.source, page.words);
        if (alarm.count > 1) text += ", " + fmt::format(fmt::runtime(page.words.seen_times), alarm.count);
        pen.row(table, {{clock_text(page.time, alarm.raised_utc_ns),
                         text + " – " + what_was_done(alarm, page.words)},
                        false});
    }
}

// Those of one cause.
struct AlarmSum {
    std::string cause;
    bool at_once = false;
    std::vector<const ReportAlarm*> alarms;
};

std::string what_was_done(const AlarmSum& sum, const ReportWords& words) {
    std::vector<std::int64_t> after;
    std::set<std::string> people;
    std::int64_t open = 0;
    for (const ReportAlarm* alarm : sum.alarms) {
        if (!alarm->cleared_utc_ns) ++open;
        if (!alarm->acknowledged_utc_ns) continue;
        after.push_back(*alarm->acknowledged_utc_ns - alarm->raised_utc_ns);
        if (!alarm->acknowledged_by.empty()) people.insert(alarm->acknowledged_by);
    }
    std::sort(after.begin(), after.end());
    std::string names;
    for (const std::string& name : people) names += (names.empty() ? "" : ", ") + name;
    std::string text = fmt::format(fmt::runtime(words.sum_acknowledged), after.size(), sum.alarms.size());
    if (!names.empty()) text += " " + fmt::format(fmt::runtime(words.sum_by), names);
    if (!after.empty()) {
        text += ", " + fmt::format(fmt::runtime(words.sum_within), span_text(after[(after.size() - 1) / 2]));
    }
    if (open > 0) text += "; " + fmt::format(fmt::runtime(words.sum_open), open);
    return text;
}

// By cause, what asks for somebody at once first: nobody reads many of them one by one.
void write_sums(Pen& pen, const PageContext& page) {
    std::vector<AlarmSum> sums;
    for (const ReportAlarm& alarm : page.figures.alarms) {
        auto sum = std::find_if(sums.begin(), sums.end(),
                                [&](const AlarmSum& known) { return known.cause == alarm.cause; });
        if (sum == sums.end()) sum = sums.insert(sums.end(), {alarm.cause, alarm.severity == "at_once", {}});
        sum->alarms.push_back(&alarm);
    }
    std::stable_sort(sums.begin(), sums.end(), [](const AlarmSum& a, const AlarmSum& b) {
        return std::pair(a.at_once, a.alarms.size()) > std::pair(b.at_once, b.alarms.size());
    });
    const TableBlock table({{"", 0.12, Align::kRight}, {"", 0.88}}, kTextSize_pt, 3);
    for (const AlarmSum& sum : sums) {
        pen.row(table, {{std::to_string(sum.alarms.size()),
                         headline(sum.cause, "", page.words) + " – " + what_was_done(sum, page.words)},
                        false});
    }
    pen.note(page.words.alarms_where);
}

} // namespace

void write_alarms(Pen& pen, const PageContext& page) {
    pen.heading(page.words.alarms_heading);
    if (page.figures.alarms.empty()) return pen.say(page.words.alarms_none);
    const bool few = page.figures.one_shift() && page.figures.alarms.size() <= page.most_rows;
    few ? write_each(pen, page) : write_sums(pen, page);
}

void write_changes(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const std::vector<ReportChange>& changes = page.figures.changes;
    pen.heading(words.changes_heading);
    if (changes.empty()) return pen.say(words.changes_none);
    const TableBlock table({{"", 0.07}, {"", 0.31}, {"", 0.62}}, 7.5, 3);
    // The latest matter most.
    const std::size_t shown = std::min(changes.size(), page.most_rows);
    for (std::size_t i = changes.size() - shown; i < changes.size(); ++i) {
        const ReportChange& change = changes[i];
        std::string text = change.station_part.empty() ? "" : change.station_part + ": ";
        text += change.text;
        if (!change.by.empty()) text += " (" + fmt::format(fmt::runtime(words.change_by), change.by) + ")";
        pen.row(table, {{change.letter, minute_text(page.time, change.at_utc_ns), text}, false});
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
        const auto two = [](const std::optional<double>& value) {
            return value ? fmt::format("{:.2f}", *value) : std::string("–");
        };
        pen.say(fmt::format(fmt::runtime(words.audit_counts), audit.vocal_to_both, audit.vocal_to_person_only,
                            audit.vocal_to_machine_only, audit.silent_to_both) +
                " " + fmt::format(fmt::runtime(words.audit_kappa), two(audit.kappa), two(audit.pabak)));
    }
    if (audit.not_compared > 0) {
        pen.say(fmt::format(fmt::runtime(words.audit_left_out), audit.not_compared));
    }
}

} // namespace quietpass
