#include <fmt/format.h>

#include <algorithm>

#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/qr_square.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

void write_cautions(Pen& pen, const PageContext& page) {
    std::string line = page.words.cautions_heading + ":";
    for (const std::string& caution : cautions_of(page.figures, page.words)) line += " " + caution;
    pen.say(line, {.size_pt = 7.2});
}

void write_signature(Pen& pen, const PageContext& page) {
    const ReportWords& words = page.words;
    const ReportFigures& figures = page.figures;
    pen.heading(words.signature_heading);
    if (!figures.signature) return pen.say(words.not_signed, {.size_pt = kTextSize_pt, .bold = true});
    const RecordSignature& is = *figures.signature;
    constexpr double kSquare_pt = 88.0;
    const double top = pen.y();
    draw_qr(pen.canvas(), pen.x() + pen.width() - kSquare_pt, top - 2.0, kSquare_pt, is.code());
    Pen text(pen.canvas(), pen.x(), top, pen.width() - kSquare_pt - 8.0);
    text.say(fmt::format(fmt::runtime(words.signed_by), is.key_id, minute_text(page.time, is.utc_ns)));
    text.say(fmt::format(fmt::runtime(words.record_hash), is.seq, is.hash), {.size_pt = 7.2});
    if (!figures.one_shift()) {
        text.note(fmt::format(fmt::runtime(words.span_note), figures.signed_shift_id.value_or(0)));
        const auto missing = std::count_if(figures.shifts.begin(), figures.shifts.end(),
                                           [](const ReportShift& shift) { return !shift.signature; });
        if (missing > 0) {
            text.say(fmt::format(fmt::runtime(words.unsigned_shifts), counted(missing, words.shift)),
                     {.size_pt = kTextSize_pt, .bold = true});
        }
    }
    text.say(is.code(), {.size_pt = 6.3, .mono = true, .by_letter = true});
    text.note(words.code_note);
    pen.skip(std::max(text.y(), top + kSquare_pt - 2.0) - top);
}

} // namespace quietpass
