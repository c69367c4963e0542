#include <fmt/format.h>

#include <algorithm>

#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

// The share and its interval beside the limit, on one scale from 0.
void draw_scale(Pen& pen, const PeriodFigures& all) {
    Canvas& canvas = pen.canvas();
    const CountedShare& vocal = all.vocal;
    const double right = 1.15 * std::max({*vocal.percent_high, all.limit_percent.value_or(0.0), 1.0});
    const double y = pen.y() + 9.0;
    const auto at = [&](double percent) { return pen.x() + pen.width() * percent / right; };
    canvas.line(at(0.0), y, pen.x() + pen.width(), y, 0.5, 0.4);
    canvas.line(at(0.0), y - 3.0, at(0.0), y + 3.0, 0.5, 0.4);
    canvas.box(at(*vocal.percent_low), y - 2.2,
               std::max(at(*vocal.percent_high) - at(*vocal.percent_low), 1.0), 4.4, 0.65);
    canvas.disc(at(*vocal.percent), y, 3.0, true);
    const TextStyle small{.size_pt = 6.5, .align = Align::kCentre, .grey = 0.2};
    canvas.text(at(0.0) - 10.0, y + 5.0, 20.0, "0", small);
    if (all.limit_percent) {
        canvas.line(at(*all.limit_percent), y - 8.0, at(*all.limit_percent), y + 4.5, 1.4);
        canvas.text(at(*all.limit_percent) - 20.0, y + 5.0, 40.0, limit_figure(*all.limit_percent) + " %",
                    {.size_pt = 6.5, .bold = true, .align = Align::kCentre});
    }
    pen.skip(24.0);
}

// Black on white when within, white on black when over: it needs no colour.
void draw_verdict(Pen& pen, const std::string& words, bool over) {
    Canvas& canvas = pen.canvas();
    constexpr double kHeight_pt = 22.0;
    if (over) {
        canvas.box(pen.x(), pen.y(), pen.width(), kHeight_pt, 0.0);
    } else {
        canvas.frame(pen.x(), pen.y(), pen.width(), kHeight_pt, 1.2);
    }
    canvas.text(pen.x(), pen.y() + 3.6, pen.width(), words,
                {.size_pt = 12.0, .bold = true, .align = Align::kCentre, .grey = over ? 1.0 : 0.0});
    pen.skip(kHeight_pt + 4.0);
}

bool holds(double low, double high, double limit) {
    return low <= limit && limit <= high;
}

// The interval of the animals is the wider one of a few; that which allows for lots or shifts, of many.
const std::string& how_sure(const PageContext& page, bool over) {
    const PeriodFigures& all = page.figures.all;
    const ReportWords& words = page.words;
    const auto& by = page.figures.by_groups;
    const double limit = *all.limit_percent;
    const bool by_groups = by && holds(by->percent_low, by->percent_high, limit);
    const bool by_animals =
        !by_groups || (all.vocal.percent && holds(*all.vocal.percent_low, *all.vocal.percent_high, limit));
    if (all.interval_contains_limit.value_or(false) && by_animals) return words.unsure;
    if (by_groups) return by->lots ? words.unsure_by_lots : words.unsure_by_shifts;
    return over ? words.sure_over : words.sure_within;
}

void write_verdict(Pen& pen, const PageContext& page) {
    const PeriodFigures& all = page.figures.all;
    const ReportWords& words = page.words;
    const bool over = all.verdict == Verdict::kOverLimit;
    if (all.verdict == Verdict::kNotScored) {
        if (!all.vocal.percent) draw_verdict(pen, words.no_percentage, false);
        pen.say(all.not_scored_because);
        if (all.vocal.percent) pen.say(words.limits_differ);
        return;
    }
    draw_verdict(pen, over ? words.over : words.within, over);
    draw_scale(pen, all);
    const std::string& limit = all.basis.empty() ? words.limit_without_basis : words.limit;
    pen.say(fmt::format(fmt::runtime(limit), limit_figure(*all.limit_percent), all.basis),
            {.size_pt = kTextSize_pt, .most_lines = 2});
    const std::string& sure = how_sure(page, over);
    pen.say(sure, {.size_pt = kTextSize_pt, .bold = &sure != &words.sure_over && &sure != &words.sure_within});
}

void write_figure(Pen& pen, const PageContext& page) {
    const CountedShare& vocal = page.figures.all.vocal;
    const ReportWords& words = page.words;
    if (!vocal.percent) {
        pen.say("–", {.size_pt = 30.0, .bold = true});
        pen.say(fmt::format(fmt::runtime(words.share_none), page.figures.all.passages), {.size_pt = 9.0});
        return;
    }
    pen.say(percent_figure(*vocal.percent) + " %", {.size_pt = 30.0, .bold = true});
    pen.say(words.share_caption, {.size_pt = 9.0});
    pen.say(fmt::format(fmt::runtime(words.share_counts), vocal.k, vocal.n), {.size_pt = 9.0, .bold = true});
    pen.say(fmt::format(fmt::runtime(words.share_interval), percent_figure(*vocal.percent_low),
                        percent_figure(*vocal.percent_high)),
            {.size_pt = 9.0, .bold = true});
    if (const auto& by = page.figures.by_groups) {
        pen.say(fmt::format(fmt::runtime(by->lots ? words.by_lots : words.by_shifts),
                            percent_figure(by->percent_low), percent_figure(by->percent_high), by->groups));
    }
    const std::optional<ReportAmendment>& amendment = page.figures.shifts.front().amendment;
    if (page.figures.one_shift() && amendment) {
        pen.say(fmt::format(fmt::runtime(words.reviewed), amendment->number, amendment->reviewed.k,
                            amendment->reviewed.n, share_figure(amendment->reviewed, words.range)),
                {.size_pt = kTextSize_pt, .bold = true});
    }
}

} // namespace

std::string title_of(const PageContext& page) {
    return page.words.titles.at(static_cast<std::size_t>(page.figures.span.kind));
}

std::string time_line_of(const PageContext& page) {
    const ReportFigures& figures = page.figures;
    const ReportWords& words = page.words;
    const auto moment = [&](const std::optional<std::int64_t>& utc_ns) {
        return utc_ns ? minute_text(page.time, *utc_ns) : words.no_date;
    };
    if (figures.one_shift()) {
        const ReportShift& shift = figures.shifts.front();
        return fmt::format(fmt::runtime(words.shift_time), shift.name, moment(shift.start_utc_ns),
                           moment(shift.end_utc_ns), figures.timezone);
    }
    const std::string name = figures.span.name.empty() ? "" : figures.span.name + ": ";
    const auto shifts = static_cast<std::int64_t>(figures.shifts.size());
    return fmt::format(fmt::runtime(words.span_time), name, counted(shifts, words.shift),
                       moment(figures.from_utc_ns), moment(figures.to_utc_ns), figures.timezone);
}

void write_title(Pen& pen, const PageContext& page) {
    const std::string& species = page.words.species.at(static_cast<std::size_t>(page.figures.species));
    const double top = pen.y();
    const double title_width = pen.canvas().text_width(title_of(page), {.size_pt = 17.0, .bold = true});
    const double right = pen.x() + title_width + 14.0;
    Pen station(pen.canvas(), right, top + 4.5, pen.x() + pen.width() - right);
    station.say(fmt::format(fmt::runtime(page.words.station), page.figures.station, species),
                {.size_pt = 11.0, .bold = true, .align = Align::kRight, .most_lines = 2});
    pen.say(title_of(page), {.size_pt = 17.0, .bold = true});
    pen.skip(std::max(0.0, station.y() - pen.y()));
    pen.say(time_line_of(page), {.size_pt = 9.5, .most_lines = 2});
    pen.skip(3.0);
}

void write_share(Pen& pen, const PageContext& page) {
    pen.canvas().line(pen.x(), pen.y(), pen.x() + pen.width(), pen.y(), 1.6);
    pen.skip(5.0);
    constexpr double kGap_pt = 18.0;
    const double left = 0.46 * pen.width();
    Pen figure(pen.canvas(), pen.x(), pen.y() - 3.0, left);
    write_figure(figure, page);
    Pen verdict(pen.canvas(), pen.x() + left + kGap_pt, pen.y() + 2.0, pen.width() - left - kGap_pt);
    write_verdict(verdict, page);
    pen.skip(std::max(figure.y(), verdict.y()) - pen.y());
}

} // namespace quietpass
