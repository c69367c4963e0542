#include <fmt/format.h>

#include <algorithm>

#include "daemon/factors/passage_facts.h"
#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

std::string hours_text(double seconds, const ReportWords& words) {
    const auto minutes = static_cast<std::int64_t>(seconds / 60.0 + 0.5);
    return fmt::format(fmt::runtime(words.hours), minutes / 60, minutes % 60);
}

// Largest first; what is left out of a long list is added up.
std::vector<std::pair<std::string, std::int64_t>> largest(const std::map<std::string, std::int64_t>& counts) {
    std::vector<std::pair<std::string, std::int64_t>> list(counts.begin(), counts.end());
    std::stable_sort(list.begin(), list.end(),
                     [](const auto& a, const auto& b) { return a.second > b.second; });
    return list;
}

} // namespace

void write_phases(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const PeriodFigures& all = page.figures.all;
    pen.heading(words.phases_heading);
    const auto& titles = words.phase_columns;
    const TableBlock table({{titles[0], 0.13},
                            {titles[1], 0.09, Align::kRight},
                            {titles[2], 0.23, Align::kRight},
                            {titles[3], 0.08, Align::kRight},
                            {titles[4], 0.47}},
                           kTextSize_pt);
    pen.header(table);
    for (std::size_t i = 0; i < all.phases.size(); ++i) {
        const PhaseFigures& phase = all.phases.at(i);
        const bool any = phase.vocal.k > 0;
        pen.row(table, {{words.cycle(all.has_cut).phases.at(i), std::to_string(phase.vocal.k),
                         share_figure(phase.vocal, words.range), std::to_string(phase.counted_calls),
                         any ? words.trade(kCountedPhases.at(i), all.has_cut) : "–"},
                        false});
    }
    pen.note(words.phases_note);
}

void write_times(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const PeriodFigures& all = page.figures.all;
    pen.heading(words.times_heading);
    const auto& titles = words.time_columns;
    const TableBlock table({{titles[0], 0.33},
                            {titles[1], 0.165, Align::kRight},
                            {titles[2], 0.185, Align::kRight},
                            {titles[3], 0.16, Align::kRight},
                            {titles[4], 0.16, Align::kRight}},
                           kTextSize_pt);
    bool any = false;
    for (const CycleTime time : kCycleTimes) {
        const Durations& durations = all.times.at(static_cast<std::size_t>(time));
        if (durations.n == 0) continue;
        if (!any) pen.header(table);
        any = true;
        pen.row(table, {{words.cycle(all.has_cut).times.at(static_cast<std::size_t>(time)),
                         seconds_or_dash(durations.median), seconds_or_dash(durations.p95),
                         seconds_or_dash(durations.max), std::to_string(durations.n)},
                        false});
    }
    if (!any) pen.say(words.no_times);
    const std::string& line = all.line_rate_per_hour ? words.line : words.line_without_rate;
    pen.say(fmt::format(fmt::runtime(line),
                        all.line_rate_per_hour ? fmt::format("{:.1f}", *all.line_rate_per_hour) : "",
                        hours_text(all.running_s, words), hours_text(all.stopped_s, words)));
}

void write_stuns(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const PeriodFigures& all = page.figures.all;
    pen.heading(words.cycle(all.has_cut).stun_heading);
    if (all.has_cut) {
        pen.say(words.cut_only);
    } else if (all.stunned_once && all.stunned_once->percent) {
        const CountedShare& once = *all.stunned_once;
        pen.say(fmt::format(fmt::runtime(words.stunned_once), once.k, once.n, percent_figure(*once.percent),
                            percent_figure(*once.percent_low), percent_figure(*once.percent_high)) +
                " " +
                fmt::format(fmt::runtime(words.stunned_twice), counted(all.stunned_twice, words.animal)));
    } else {
        pen.say(words.no_stun_seen);
    }
    if (all.calls_at_stun) {
        const CountedShare& at_stun = all.phases.back().vocal;
        if (at_stun.percent) {
            pen.say(fmt::format(fmt::runtime(words.squeals), counted(*all.calls_at_stun, words.call),
                                at_stun.k, at_stun.n, percent_figure(*at_stun.percent),
                                percent_figure(*at_stun.percent_low), percent_figure(*at_stun.percent_high)));
        }
    }
    pen.say(fmt::format(fmt::runtime(words.cycle(all.has_cut).calls_after),
                        counted(all.calls_after_stun, words.call)),
            {.size_pt = kTextSize_pt, .bold = all.calls_after_stun > 0 && !all.has_cut});
    if (all.holder_bangs && all.holder_bangs->held > 0) {
        pen.say(fmt::format(fmt::runtime(words.bangs), all.holder_bangs->with_bang, all.holder_bangs->held));
    }
}

void write_coverage(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const PeriodFigures& all = page.figures.all;
    pen.heading(words.coverage_heading);
    const std::pair<const std::string*, const std::optional<double>*> shares[] = {
        {&words.cycle(all.has_cut).covered, &all.passages_covered_percent},
        {&words.heard, &all.time_heard_percent},
        {&words.contacts, &all.contacts_known_percent}};
    for (const auto& [text, percent] : shares) {
        if (*percent) pen.say(fmt::format(fmt::runtime(*text), percent_figure(**percent)));
    }
    if (!all.passages_covered_percent && !all.time_heard_percent) pen.say(words.not_measured);
    if (all.excluded.empty()) return pen.say(words.all_scored);
    std::string reasons;
    for (const auto& [reason, count] : largest(all.excluded)) {
        const auto known = words.reasons.find(reason);
        reasons += (reasons.empty() ? "" : ", ") + (known == words.reasons.end() ? reason : known->second) +
                   " " + std::to_string(count);
    }
    pen.say(fmt::format(fmt::runtime(words.left_out), all.passages - all.vocal.n, all.passages, reasons));
}

} // namespace quietpass
