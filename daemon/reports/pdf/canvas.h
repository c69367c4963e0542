// Pages of a PDF as a report draws on them: wrapped text, lines, boxes and marks. Points (1/72 inch) from the
// upper left corner of the page.
//
// Text is selectable and its fonts are embedded; glyphs that the font lacks come from others of the machine.
// The same calls give the same bytes with the same fonts. While measuring() nothing is drawn and heights are
// the same. Black, white and greys only.
//
// Errors: Failure (exit 1) where cairo refuses. One thread.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "daemon/reports/pdf/paper.h"

namespace quietpass {

enum class Align { kLeft, kRight, kCentre };

struct TextStyle {
    double size_pt = 8.5;
    bool bold = false;
    bool mono = false;
    Align align = Align::kLeft;
    double grey = 0.0;  // 0 black … 1 white
    int most_lines = 0; // 0: any; what is beyond is cut with …
};

struct PdfFacts {
    std::string title;
    std::string subject;
    std::string creator;
    std::string date; // ISO 8601, of what is reported and not of the printing
};

class Canvas {
  public:
    Canvas(Paper paper, const PdfFacts& facts);
    ~Canvas();
    Canvas(const Canvas&) = delete;
    Canvas& operator=(const Canvas&) = delete;

    // Everything drawn from here on is so much of its size, and the page has room for so much more; for what
    // would just not fit. Before the first page is drawn on.
    void set_scale(double scale);

    // Of the page, in what is drawn on it.
    double width_pt() const;
    double height_pt() const;

    void set_measuring(bool measuring);
    bool measuring() const;
    void next_page();
    int page() const;        // from 1; counts while measuring too
    void first_page_again(); // after a pass of measuring

    // The height taken; wrapped into the width.
    double text(double x, double y, double width, const std::string& text, const TextStyle& style);
    // As wide as one line of it would be.
    double text_width(const std::string& text, const TextStyle& style) const;

    void line(double x1, double y1, double x2, double y2, double thick = 0.6, double grey = 0.0,
              const std::vector<double>& dashes = {});
    void box(double x, double y, double width, double height, double fill_grey);     // filled
    void frame(double x, double y, double width, double height, double thick = 0.8); // outlined
    void disc(double x, double y, double radius, bool filled); // outlined, white or black inside
    void square(double x, double y, double half, double fill_grey);

    // Closes the document; nothing is drawn after it.
    std::string finish();

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
