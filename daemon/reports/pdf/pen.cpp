#include "daemon/reports/pdf/pen.h"

namespace quietpass {

void Pen::heading(const std::string& text) {
    canvas_.line(x_, y_, x_ + width_, y_, 0.9);
    y_ += 2.5;
    y_ += canvas_.text(x_, y_, width_, text, {.size_pt = 9.0, .bold = true});
    y_ += 2.0;
}

void Pen::say(const std::string& text, const TextStyle& style) {
    if (text.empty()) return;
    y_ += canvas_.text(x_, y_, width_, text, style) + 1.2;
}

void Pen::note(const std::string& text) {
    say(text, {.size_pt = 6.8, .grey = 0.25});
}

void Pen::header(const TableBlock& table) {
    y_ += table.draw_header(canvas_, x_, y_, width_);
}

void Pen::row(const TableBlock& table, const TableRow& row) {
    y_ += table.draw_row(canvas_, x_, y_, width_, row);
}

} // namespace quietpass
