#include "daemon/reports/pdf/table_block.h"

#include <algorithm>

namespace quietpass {

namespace {

constexpr double kBetween_pt = 8.0; // columns
constexpr double kRowGap_pt = 1.8;

} // namespace

TableBlock::TableBlock(std::vector<TableColumn> columns, double size_pt, int most_lines)
    : columns_(std::move(columns)), size_pt_(size_pt), most_lines_(most_lines) {}

double TableBlock::draw_cells(Canvas& canvas, double x, double y, double width,
                              const std::vector<std::string>& cells, const TextStyle& style) const {
    double shares = 0.0;
    for (const TableColumn& column : columns_) shares += column.share;
    double height = 0.0;
    double left = x;
    for (std::size_t i = 0; i < columns_.size() && i < cells.size(); ++i) {
        const double wide = width * columns_[i].share / shares;
        const bool last = i + 1 == columns_.size();
        TextStyle cell = style;
        cell.align = columns_[i].align;
        height = std::max(height, canvas.text(left, y, wide - (last ? 0.0 : kBetween_pt), cells[i], cell));
        left += wide;
    }
    return height;
}

double TableBlock::draw_header(Canvas& canvas, double x, double y, double width) const {
    std::vector<std::string> titles;
    for (const TableColumn& column : columns_) titles.push_back(column.title);
    const double height =
        draw_cells(canvas, x, y, width, titles, {.size_pt = size_pt_ - 1.0, .grey = 0.25, .most_lines = 2});
    if (height == 0.0) return 0.0;
    canvas.line(x, y + height + 1.0, x + width, y + height + 1.0, 0.5);
    return height + 3.0;
}

double TableBlock::draw_row(Canvas& canvas, double x, double y, double width, const TableRow& row) const {
    return draw_cells(canvas, x, y, width, row.cells,
                      {.size_pt = size_pt_, .bold = row.bold, .most_lines = most_lines_}) +
           kRowGap_pt;
}

} // namespace quietpass
