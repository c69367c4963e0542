// A table on a page: a header over a rule, rows of wrapped cells, columns of set shares of the width.
//
// draw() gives the height taken. Rows are kept whole. One thread.
#pragma once

#include <string>
#include <vector>

#include "daemon/reports/pdf/canvas.h"

namespace quietpass {

struct TableColumn {
    std::string title;
    double share = 1.0; // of the table's width, of all shares
    Align align = Align::kLeft;
};

struct TableRow {
    std::vector<std::string> cells;
    bool bold = false;
};

class TableBlock {
  public:
    TableBlock(std::vector<TableColumn> columns, double size_pt, int most_lines = 2);

    double draw_header(Canvas& canvas, double x, double y, double width) const; // none without titles
    double draw_row(Canvas& canvas, double x, double y, double width, const TableRow& row) const;

  private:
    double draw_cells(Canvas& canvas, double x, double y, double width, const std::vector<std::string>& cells,
                      const TextStyle& style) const;

    std::vector<TableColumn> columns_;
    double size_pt_;
    int most_lines_;
};

} // namespace quietpass
