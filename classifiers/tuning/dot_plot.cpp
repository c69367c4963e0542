#include "classifiers/tuning/dot_plot.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace quietpass::tuning {

DotPlot::DotPlot(std::size_t width, std::size_t height)
    : width_(width), height_(height), dots_(width * height, 0), marks_(width * height) {}

DotPlot::Place DotPlot::dot_at(double x, double y) const {
    const auto across = static_cast<double>(2 * width_ - 1);
    const auto down = static_cast<double>(4 * height_ - 1);
    return {static_cast<std::size_t>(std::lround(std::clamp(x, 0.0, 1.0) * across)),
            static_cast<std::size_t>(std::lround((1 - std::clamp(y, 0.0, 1.0)) * down))};
}

void DotPlot::set(std::size_t column, std::size_t row) {
    // Bits of a Braille pattern by column and row, as Unicode numbers its dots.
    constexpr std::array<std::array<unsigned char, 4>, 2> kBits = {
        {{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}};
    dots_[row / 4 * width_ + column / 2] |= kBits[column % 2][row % 4];
}

void DotPlot::line(double from_x, double from_y, double to_x, double to_y) {
    const std::size_t steps = 8 * (width_ + height_);
    for (std::size_t i = 0; i <= steps; ++i) {
        const double t = static_cast<double>(i) / static_cast<double>(steps);
        const Place place = dot_at(from_x + t * (to_x - from_x), from_y + t * (to_y - from_y));
        set(place.column, place.row);
    }
}

void DotPlot::mark(double x, double y, const std::string& character) {
    const Place place = dot_at(x, y);
    marks_[place.row / 4 * width_ + place.column / 2] = character;
}

std::vector<std::string> DotPlot::rows() const {
    std::vector<std::string> out;
    for (std::size_t row = 0; row < height_; ++row) {
        std::string text;
        for (std::size_t column = 0; column < width_; ++column) {
            const std::size_t at = row * width_ + column;
            if (!marks_[at].empty()) {
                text += marks_[at];
            } else if (dots_[at] == 0) {
                text += ' ';
            } else {
                // UTF-8 of U+2800 + dots.
                text += static_cast<char>(0xE2);
                text += static_cast<char>(0xA0 | (dots_[at] >> 6));
                text += static_cast<char>(0x80 | (dots_[at] & 0x3F));
            }
        }
        out.push_back(std::move(text));
    }
    return out;
}

std::string bar(double share, std::size_t width) {
    constexpr std::array<const char*, 8> kEighths = {"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"};
    const auto eighths =
        static_cast<std::size_t>(std::lround(std::clamp(share, 0.0, 1.0) * 8 * static_cast<double>(width)));
    std::string out;
    for (std::size_t i = 0; i < eighths / 8; ++i) out += "█";
    out += kEighths[eighths % 8];
    const std::size_t used = (eighths + 7) / 8;
    return out + std::string(width - used, ' ');
}

} // namespace quietpass::tuning
