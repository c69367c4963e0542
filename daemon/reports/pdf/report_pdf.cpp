#include "daemon/reports/pdf/report_pdf.h"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/build_facts.h"
#include "daemon/records/utc_text.h"
#include "daemon/reports/pdf/page_flow.h"
#include "daemon/reports/pdf/report_blocks.h"
#include "daemon/reports/pdf/shift_table.h"

namespace quietpass {

namespace {

// The reported shift's end: the same report printed tomorrow has the same bytes.
std::string date_of(const ReportFigures& figures) {
    return utc_text(figures.to_utc_ns.value_or(0)).substr(0, 19) + "Z";
}

struct Drawn {
    int pages = 0;
    double room_pt = 0.0; // that was left on the last page above the signature
};

void add_shift_blocks(PageFlow& flow, const PageContext& page) {
    const auto block = [&page](void (*write)(Pen&, const PageContext&)) {
        return [&page, write](Pen& pen) { write(pen, page); };
    };
    flow.add(block(write_title));
    flow.add(block(write_share));
    std::vector<Block> right = {block(write_alarms), block(write_changes)};
    // Where nothing was ever scored (sheep) there is nothing to say of calls.
    if (page.figures.all.vocal.percent || !page.figures.chart.points.empty()) {
        flow.add(block(write_chart));
        flow.add(block(write_phases));
        right.insert(right.begin(), block(write_factors));
    }
    flow.add_columns({block(write_times), block(write_stuns), block(write_coverage)}, right,
                     {block(write_audit)}, 0.48);
}

Drawn draw(Canvas& canvas, const PageContext& page, int pages) {
    const auto footer = [&](Pen& pen) {
        const double top = pen.y();
        Pen left(pen.canvas(), pen.x(), top, pen.width() - 70.0);
        left.say(fmt::format(fmt::runtime(page.words.made_by), page.figures.station, time_line_of(page)),
                 {.size_pt = 6.5, .grey = 0.3, .most_lines = 1});
        Pen right(pen.canvas(), pen.x() + pen.width() - 60.0, top, 60.0);
        right.say(fmt::format(fmt::runtime(page.words.page), canvas.page(), pages),
                  {.size_pt = 6.5, .align = Align::kRight, .grey = 0.3});
    };
    PageFlow flow(canvas, footer);
    add_shift_blocks(flow, page);
    if (!page.figures.one_shift()) {
        std::vector<TableRow> rows;
        for (const ReportShift& shift : page.figures.shifts) rows.push_back(shift_row(shift, page));
        flow.add_rows(
            shift_table(page.words), [&](Pen& pen) { pen.heading(page.words.shifts_heading); }, rows);
    }
    Drawn drawn;
    const double above = flow.room();
    flow.add_at_bottom([&](Pen& pen) {
        const double top = pen.y();
        write_foot(pen, page);
        drawn.room_pt = above - (pen.y() - top);
    });
    flow.end();
    drawn.pages = canvas.page();
    return drawn;
}

Drawn measured(Canvas& canvas, const PageContext& page) {
    canvas.set_measuring(true);
    const Drawn drawn = draw(canvas, page, 1);
    canvas.set_measuring(false);
    canvas.first_page_again();
    return drawn;
}

} // namespace

std::string report_pdf(const ReportFigures& figures, const LocalTime& time, Paper paper,
                       const ReportWords& words) {
    PageContext page{figures, words, time};
    Canvas canvas(paper, {title_of(page) + ", " + figures.station + ", " + time_line_of(page),
                          figures.station, std::string("quietpass ") + kVersion, date_of(figures)});
    Drawn drawn = measured(canvas, page);
    if (figures.one_shift()) {
        // A shift is one page: lists are cut shorter and all of it is drawn smaller until it is.
        struct Fit {
            std::size_t most_rows;
            double chart_height_pt;
            double scale;
        };
        constexpr Fit kFits[] = {{6, 72.0, 1.0},  {5, 72.0, 0.96}, {5, 72.0, 0.92}, {4, 66.0, 0.9},
                                 {3, 66.0, 0.87}, {2, 66.0, 0.84}, {2, 60.0, 0.8}};
        for (const Fit& fit : kFits) {
            if (drawn.pages == 1) break;
            page.most_rows = fit.most_rows;
            page.chart_height_pt = fit.chart_height_pt;
            canvas.set_scale(fit.scale);
            drawn = measured(canvas, page);
        }
        // What is left makes the chart taller.
        constexpr double kTallest_pt = 80.0;
        if (drawn.pages == 1 && figures.chart.mean_percent)
            page.chart_height_pt += std::clamp(drawn.room_pt - 8.0, 0.0, kTallest_pt);
    }
    draw(canvas, page, drawn.pages);
    return canvas.finish();
}

} // namespace quietpass
