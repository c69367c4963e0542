// A text as a QR code (ISO/IEC 18004): its modules, and drawn on a page.
//
// Errors: Failure (exit 1) for a text that is too long for one. Pure but for the canvas; one thread.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/reports/pdf/canvas.h"

namespace quietpass {

struct QrModules {
    std::size_t side = 0;
    std::vector<bool> dark; // row by row

    bool at(std::size_t x, std::size_t y) const { return dark.at(y * side + x); }
};

// Byte mode, error correction M: 15 % of it may be worn.
QrModules qr_modules(const std::string& text);

// With the quiet zone of four modules that readers ask for, inside the square of `side_pt`.
void draw_qr(Canvas& canvas, double x, double y, double side_pt, const std::string& text);

} // namespace quietpass
