#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/report_blocks.h"
#include "daemon/reports/report_chart.h"

namespace quietpass {

namespace {

constexpr double kAxisWidth_pt = 22.0;
constexpr double kAbove_pt = 13.0; // letters of changes
constexpr double kBelow_pt = 12.0; // dates
const TextStyle kSmall{.size_pt = 6.5, .align = Align::kCentre, .grey = 0.2};

// The axis: from 0 to a round number, at most six steps.
struct Axis {
    double step = 1.0;
    double top = 5.0;
};

Axis axis_up_to(double highest) {
    for (const double step : {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 25.0}) {
        const double steps = std::ceil(std::max(highest, 0.1) / step);
        if (steps <= 6.0) return {step, step * steps};
    }
    return {25.0, 100.0};
}

class Chart {
  public:
    Chart(Pen& pen, const PageContext& page)
        : canvas_(pen.canvas()),
          page_(page),
          points_(page.figures.chart.points),
          left_(pen.x() + kAxisWidth_pt),
          right_(pen.x() + pen.width()),
          top_(pen.y() + kAbove_pt),
          bottom_(pen.y() + page.chart_height_pt - kBelow_pt) {
        double highest = page.figures.all.limit_percent.value_or(0.0);
        for (const ChartPoint& point : points_) {
            highest = std::max(highest, *point.vocal.percent);
            highest = std::max(highest, point.high_percent.value_or(0.0));
        }
        axis_ = axis_up_to(highest * 1.04);
    }

    void draw() {
        draw_range();
        draw_axis();
        draw_changes();
        draw_lines();
        draw_points();
        draw_dates();
    }

  private:
    double slot() const { return (right_ - left_) / static_cast<double>(points_.size()); }
    double x_of(std::size_t i) const { return left_ + slot() * (static_cast<double>(i) + 0.5); }
    double y_of(double percent) const { return bottom_ - (bottom_ - top_) * percent / axis_.top; }

    // Where a shift of its size lies while nothing changes; a step for each, their sizes differ.
    void draw_range() {
        for (std::size_t i = 0; i < points_.size(); ++i) {
            if (!points_[i].high_percent) continue;
            const double y = y_of(*points_[i].high_percent);
            canvas_.box(x_of(i) - slot() / 2.0, y, slot(), y_of(*points_[i].low_percent) - y, 0.88);
        }
    }

    void draw_axis() {
        for (double percent = 0.0; percent <= axis_.top + 1e-9; percent += axis_.step) {
            canvas_.line(left_, y_of(percent), right_, y_of(percent), 0.3, percent > 0.0 ? 0.7 : 0.0);
            canvas_.text(left_ - kAxisWidth_pt, y_of(percent) - 4.2, kAxisWidth_pt - 4.0,
                         limit_figure(percent), {.size_pt = 6.5, .align = Align::kRight, .grey = 0.2});
        }
    }

    // Before the first shift that began after it; through a shift that it fell into.
    double x_of_change(std::int64_t utc_ns) const {
        for (std::size_t i = 0; i < points_.size(); ++i) {
            if (!points_[i].start_utc_ns) continue;
            if (utc_ns < *points_[i].start_utc_ns) return x_of(i) - slot() / 2.0;
            if (points_[i].end_utc_ns && utc_ns < *points_[i].end_utc_ns) return x_of(i);
        }
        return right_;
    }

    void draw_changes() {
        double last_x = -100.0;
        std::string letters;
        for (const ReportChange& change : page_.figures.changes) {
            if (change.letter.empty()) continue;
            const double x = x_of_change(change.at_utc_ns);
            canvas_.line(x, top_ - 2.0, x, bottom_, 0.8, 0.0, {1.2, 1.8});
            // Letters of changes at one place stand beside each other.
            const bool beside = x - last_x < 8.0;
            letters = beside ? letters + "," + change.letter : change.letter;
            if (beside) canvas_.box(last_x - 14.0, top_ - kAbove_pt, 28.0, 9.0, 1.0);
            canvas_.text(x - 14.0, top_ - kAbove_pt, 28.0, letters,
                         {.size_pt = 7.5, .bold = true, .align = Align::kCentre});
            last_x = x;
        }
    }

    void draw_lines() {
        const ReportChart& chart = page_.figures.chart;
        if (chart.mean_percent)
            canvas_.line(left_, y_of(*chart.mean_percent), right_, y_of(*chart.mean_percent), 0.8);
        if (const auto& limit = page_.figures.all.limit_percent) {
            canvas_.line(left_, y_of(*limit), right_, y_of(*limit), 1.2, 0.0, {6.0, 3.0});
        }
        for (std::size_t i = 1; i < points_.size(); ++i) {
            canvas_.line(x_of(i - 1), y_of(*points_[i - 1].vocal.percent), x_of(i),
                         y_of(*points_[i].vocal.percent), 0.4, 0.3);
        }
    }

    void draw_points() {
        for (std::size_t i = 0; i < points_.size(); ++i) {
            const double y = y_of(*points_[i].vocal.percent);
            if (points_[i].outside) {
                canvas_.square(x_of(i), y, 2.8, 0.0);
            } else {
                canvas_.disc(x_of(i), y, 2.4, false);
            }
            if (page_.figures.one_shift() && points_[i].reported) {
                canvas_.frame(x_of(i) - 5.0, y - 5.0, 10.0, 10.0, 0.9);
            }
        }
    }

    void draw_dates() {
        // As many as have room.
        const auto every = static_cast<std::size_t>(std::ceil(34.0 / slot()));
        for (std::size_t back = 0; back < points_.size(); back += every) {
            const std::size_t i = points_.size() - 1 - back;
            const auto& start = points_[i].start_utc_ns;
            const std::string date =
                start ? page_.time.text(*start).substr(5, 5) : std::to_string(points_[i].shift_id);
            canvas_.line(x_of(i), bottom_, x_of(i), bottom_ + 2.0, 0.4);
            canvas_.text(x_of(i) - 17.0, bottom_ + 2.5, 34.0, date, kSmall);
        }
    }

    Canvas& canvas_;
    const PageContext& page_;
    const std::vector<ChartPoint>& points_;
    double left_;
    double right_;
    double top_;
    double bottom_;
    Axis axis_;
};

// The marks in words, in one line under the chart.
class Key {
  public:
    explicit Key(Pen& pen) : pen_(pen), canvas_(pen.canvas()), x_(pen.x() + kAxisWidth_pt) {}

    void disc(const std::string& words) {
        canvas_.disc(x_ + 4.0, middle(), 2.4, false);
        say(words, 10.0);
    }
    void square(const std::string& words) {
        canvas_.square(x_ + 4.0, middle(), 2.8, 0.0);
        say(words, 10.0);
    }
    void framed(const std::string& words) {
        canvas_.frame(x_, middle() - 4.0, 8.0, 8.0, 0.9);
        say(words, 11.0);
    }
    void dashed(const std::string& words) {
        canvas_.line(x_, middle(), x_ + 17.0, middle(), 1.2, 0.0, {6.0, 3.0});
        say(words, 20.0);
    }
    void dotted(const std::string& words) {
        canvas_.line(x_ + 3.0, middle() - 4.5, x_ + 3.0, middle() + 4.5, 0.8, 0.0, {1.2, 1.8});
        say(words, 8.0);
    }
    void shaded(const std::string& words) {
        canvas_.box(x_, middle() - 3.5, 14.0, 7.0, 0.88);
        canvas_.line(x_, middle(), x_ + 14.0, middle(), 0.8);
        say(words, 17.0);
    }
    void end() { pen_.skip(10.5); }

  private:
    double middle() const { return pen_.y() + 4.6; }
    void say(const std::string& words, double after) {
        const TextStyle style{.size_pt = 6.8};
        x_ += after;
        canvas_.text(x_, pen_.y(), 300.0, words, style);
        x_ += canvas_.text_width(words, style) + 11.0;
    }

    Pen& pen_;
    Canvas& canvas_;
    double x_;
};

void write_key(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const ReportChart& chart = page.figures.chart;
    Key key(pen);
    key.disc(words.chart_shift);
    if (page.figures.one_shift()) key.framed(words.chart_reported);
    if (chart.mean_percent) {
        key.square(words.chart_outside);
        key.shaded(words.chart_within);
    }
    if (const auto& limit = page.figures.all.limit_percent) {
        key.dashed(fmt::format(fmt::runtime(words.chart_limit), limit_figure(*limit)));
    }
    const bool marked = std::any_of(page.figures.changes.begin(), page.figures.changes.end(),
                                    [](const ReportChange& change) { return !change.letter.empty(); });
    if (marked) key.dotted(words.chart_change);
    key.end();
}

} // namespace

void write_chart(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const ReportChart& chart = page.figures.chart;
    pen.heading(words.chart_heading);
    if (chart.points.empty()) return pen.say(words.chart_empty);
    Chart(pen, page).draw();
    pen.skip(page.chart_height_pt);
    write_key(pen, page);
    if (chart.mean_percent) {
        pen.note(fmt::format(fmt::runtime(words.chart_limits), percent_figure(*chart.mean_percent)));
    } else {
        const auto shifts = static_cast<std::int64_t>(chart.points.size());
        pen.note(fmt::format(fmt::runtime(words.chart_few), counted(shifts, words.shift), kLimitsFrom));
    }
}

} // namespace quietpass
