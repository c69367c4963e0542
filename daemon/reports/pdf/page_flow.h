// Places blocks one below the other and goes to a new page where the next has no room; each page ends with a
// footer. One thread.
#pragma once

#include <functional>
#include <vector>

#include "daemon/reports/pdf/pen.h"

namespace quietpass {

using Block = std::function<void(Pen&)>;

class PageFlow {
  public:
    // `footer` writes below the margin of each page.
    PageFlow(Canvas& canvas, Block footer);

    void add(const Block& block, double gap_pt = 6.0);
    // Two columns, each with its blocks one below the other; those of `either` go into the shorter one.
    void add_columns(std::vector<Block> left, std::vector<Block> right, const std::vector<Block>& either,
                     double left_share);
    // At the lower margin.
    void add_at_bottom(const Block& block);
    // A table over as many pages as it takes, with its header on each and its first three rows on one page.
    void add_rows(const TableBlock& table, const Block& heading, const std::vector<TableRow>& rows);

    void end(); // the last page's footer
    double room() const { return bottom_ - y_; }

  private:
    double height_of(const Block& block, double width);
    double height_of(const std::vector<Block>& blocks, double width);
    double write(const std::vector<Block>& blocks, double x, double width); // where it ends
    void make_room(double height);
    void new_page();

    Canvas& canvas_;
    Block footer_;
    double left_;
    double width_;
    double top_;
    double bottom_;
    double y_;
};

} // namespace quietpass
