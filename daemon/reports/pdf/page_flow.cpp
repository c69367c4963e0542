#include "daemon/reports/pdf/page_flow.h"

#include <algorithm>

namespace quietpass {

namespace {

constexpr double kSide_pt = 40.0;
constexpr double kTop_pt = 28.0;
constexpr double kBottom_pt = 32.0;
constexpr double kFooterBelow_pt = 6.0;
constexpr double kBetween_pt = 18.0; // columns
constexpr double kBetweenBlocks_pt = 4.0;
constexpr std::size_t kRowsTogether = 3; // below a table's header: fewer don't stand at a page's foot

} // namespace

PageFlow::PageFlow(Canvas& canvas, Block footer)
    : canvas_(canvas),
      footer_(std::move(footer)),
      left_(kSide_pt),
      width_(canvas.width_pt() - 2.0 * kSide_pt),
      top_(kTop_pt),
      bottom_(canvas.height_pt() - kBottom_pt),
      y_(kTop_pt) {}

double PageFlow::height_of(const Block& block, double width) {
    const bool was = canvas_.measuring();
    canvas_.set_measuring(true);
    Pen pen(canvas_, left_, 0.0, width);
    block(pen);
    canvas_.set_measuring(was);
    return pen.y();
}

void PageFlow::new_page() {
    end();
    canvas_.next_page();
    y_ = top_;
}

void PageFlow::make_room(double height) {
    // A page that is still empty is as roomy as they get.
    if (y_ + height > bottom_ && y_ > top_) new_page();
}

void PageFlow::end() {
    Pen pen(canvas_, left_, bottom_ + kFooterBelow_pt, width_);
    footer_(pen);
}

void PageFlow::add(const Block& block, double gap_pt) {
    make_room(height_of(block, width_));
    Pen pen(canvas_, left_, y_, width_);
    block(pen);
    y_ = pen.y() + gap_pt;
}

double PageFlow::height_of(const std::vector<Block>& blocks, double width) {
    double height = 0.0;
    for (const Block& block : blocks) height += height_of(block, width) + kBetweenBlocks_pt;
    return height;
}

double PageFlow::write(const std::vector<Block>& blocks, double x, double width) {
    Pen pen(canvas_, x, y_, width);
    for (const Block& block : blocks) {
        block(pen);
        pen.skip(kBetweenBlocks_pt);
    }
    return pen.y();
}

void PageFlow::add_columns(std::vector<Block> left, std::vector<Block> right,
                           const std::vector<Block>& either, double left_share) {
    const double left_width = (width_ - kBetween_pt) * left_share;
    const double right_width = width_ - kBetween_pt - left_width;
    for (const Block& block : either) {
        const bool left_is_shorter = height_of(left, left_width) <= height_of(right, right_width);
        (left_is_shorter ? left : right).push_back(block);
    }
    make_room(std::max(height_of(left, left_width), height_of(right, right_width)));
    const double left_end = write(left, left_, left_width);
    y_ = std::max(left_end, write(right, left_ + left_width + kBetween_pt, right_width));
}

void PageFlow::add_at_bottom(const Block& block) {
    const double height = height_of(block, width_);
    make_room(height);
    y_ = std::max(y_, bottom_ - height);
    Pen pen(canvas_, left_, y_, width_);
    block(pen);
    y_ = pen.y();
}

void PageFlow::add_rows(const TableBlock& table, const Block& heading, const std::vector<TableRow>& rows) {
    const auto height_of_row = [&](const TableRow& row) {
        return height_of([&](Pen& pen) { pen.row(table, row); }, width_);
    };
    const Block header = [&](Pen& pen) {
        heading(pen);
        pen.header(table);
    };
    const auto add_header = [&](std::size_t from) {
        double height = height_of(header, width_);
        const std::size_t end = std::min(rows.size(), from + kRowsTogether);
        for (std::size_t i = from; i < end; ++i) height += height_of_row(rows[i]);
        make_room(height);
        Pen pen(canvas_, left_, y_, width_);
        header(pen);
        y_ = pen.y();
    };
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const bool full = y_ + height_of_row(rows[i]) > bottom_;
        if (i > 0 && full) new_page();
        if (i == 0 || full) add_header(i);
        Pen pen(canvas_, left_, y_, width_);
        pen.row(table, rows[i]);
        y_ = pen.y();
    }
    y_ += 6.0;
}

} // namespace quietpass
