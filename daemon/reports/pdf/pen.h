// Writes down a column of a page: each thing below the one before. One thread.
#pragma once

#include <string>

#include "daemon/reports/pdf/canvas.h"
#include "daemon/reports/pdf/table_block.h"

namespace quietpass {

inline constexpr double kTextSize_pt = 8.0;

class Pen {
  public:
    Pen(Canvas& canvas, double x, double y, double width) : canvas_(canvas), x_(x), y_(y), width_(width) {}

    void heading(const std::string& text); // under a rule
    void say(const std::string& text, const TextStyle& style = {.size_pt = kTextSize_pt});
    void note(const std::string& text); // small and grey
    void header(const TableBlock& table);
    void row(const TableBlock& table, const TableRow& row);
    void skip(double height) { y_ += height; }

    Canvas& canvas() { return canvas_; }
    double x() const { return x_; }
    double y() const { return y_; }
    double width() const { return width_; }

  private:
    Canvas& canvas_;
    double x_;
    double y_;
    double width_;
};

} // namespace quietpass
