#include <fmt/format.h>

#include <algorithm>

#include "daemon/reports/figure_text.h"
#include "daemon/reports/pdf/qr_square.h"
#include "daemon/reports/pdf/report_blocks.h"

namespace quietpass {

namespace {

void write_signature(Pen& pen, const PageContext& page, const SignedHead& is) {
    const ReportWords& words = page.words;
    const ReportFigures& figures = page.figures;
    pen.say(fmt::format(fmt::runtime(words.signed_by), is.key_id, minute_text(page.time, is.utc_ns)));
    pen.say(fmt::format(fmt::runtime(words.record_hash), is.of_seq, hex_of(is.hash)), {.size_pt = 7.0});
    if (!figures.one_shift()) {
        pen.note(fmt::format(fmt::runtime(words.span_note), figures.signed_shift_id.value_or(0)));
        const auto missing = std::count_if(figures.shifts.begin(), figures.shifts.end(),
                                           [](const ReportShift& shift) { return !shift.signature; });
        if (missing > 0) {
            pen.say(fmt::format(fmt::runtime(words.unsigned_shifts), counted(missing, words.shift)),
                    {.size_pt = kTextSize_pt, .bold = true});
        }
    }
    // Broken between words only: whoever copies it off the screen has the code.
    pen.say(code_of(is), {.size_pt = 5.5, .mono = true});
    pen.note(words.code_note);
}

} // namespace

void write_foot(Pen& pen, const PageContext& page) {
    constexpr double kSquare_pt = 82.0;
    const std::optional<SignedHead>& signature = page.figures.signature;
    const double top = pen.y();
    Pen text(pen.canvas(), pen.x(), top, pen.width() - (signature ? kSquare_pt + 6.0 : 0.0));
    std::string line = page.words.cautions_heading + ":";
    for (const std::string& caution : cautions_of(page.figures, page.words)) line += " " + caution;
    text.say(line, {.size_pt = 7.2});
    text.skip(2.0);
    text.heading(page.words.signature_heading);
    if (signature) {
        write_signature(text, page, *signature);
    } else {
        text.say(page.words.not_signed, {.size_pt = kTextSize_pt, .bold = true});
    }
    const double height = std::max(text.y() - top, signature ? kSquare_pt : 0.0);
    if (signature) {
        draw_qr(pen.canvas(), pen.x() + pen.width() - kSquare_pt, top + height - kSquare_pt, kSquare_pt,
                code_of(*signature));
    }
    pen.skip(height);
}

} // namespace quietpass
