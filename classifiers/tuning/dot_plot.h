// A small plot in characters, two dots across and four down in each (Unicode Braille patterns, U+2800 …), for
// a report that is read on a terminal. Both axes run 0 … 1, the origin lower left. Pure; any thread.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace quietpass::tuning {

class DotPlot {
  public:
    // In characters.
    DotPlot(std::size_t width, std::size_t height);

    // Coordinates outside 0 … 1 are moved to the edge.
    void line(double from_x, double from_y, double to_x, double to_y);
    // One character in place of the dots: "◆".
    void mark(double x, double y, const std::string& character);

    // From top to bottom, each `width` characters.
    std::vector<std::string> rows() const;

  private:
    struct Place {
        std::size_t column;
        std::size_t row;
    };
    Place dot_at(double x, double y) const;
    void set(std::size_t column, std::size_t row);

    std::size_t width_;
    std::size_t height_;
    std::vector<unsigned char> dots_;
    std::vector<std::string> marks_;
};

// A bar of a share of `width` characters in eighths: "███▌", padded with spaces to `width`.
std::string bar(double share, std::size_t width);

} // namespace quietpass::tuning
