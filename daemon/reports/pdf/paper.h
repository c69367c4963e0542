// Sizes of paper, in points (1/72 inch).
#pragma once

namespace quietpass {

enum class Paper { kA4, kLetter };

struct PaperSize {
    double width_pt = 0.0;
    double height_pt = 0.0;
};

constexpr PaperSize size_of(Paper paper) {
    // A4: 210 × 297 mm; Letter: 8.5 × 11 inches.
    return paper == Paper::kA4 ? PaperSize{595.276, 841.89} : PaperSize{612.0, 792.0};
}

} // namespace quietpass
