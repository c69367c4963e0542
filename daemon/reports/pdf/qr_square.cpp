#include "daemon/reports/pdf/qr_square.h"

#include <qrencode.h>

#include <memory>

#include "daemon/failure.h"

namespace quietpass {

QrModules qr_modules(const std::string& text) {
    struct Free {
        void operator()(QRcode* code) const { QRcode_free(code); }
    };
    const std::unique_ptr<QRcode, Free> code(QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M));
    if (!code) throw Failure(kExitFailure, "report: the code of the record does not fit into a QR code");
    QrModules modules;
    modules.side = static_cast<std::size_t>(code->width);
    for (std::size_t i = 0; i < modules.side * modules.side; ++i) {
        modules.dark.push_back((code->data[i] & 1U) != 0);
    }
    return modules;
}

void draw_qr(Canvas& canvas, double x, double y, double side_pt, const std::string& text) {
    if (canvas.measuring()) return;
    constexpr double kQuiet = 4.0;
    const QrModules modules = qr_modules(text);
    const double step = side_pt / (static_cast<double>(modules.side) + 2.0 * kQuiet);
    for (std::size_t row = 0; row < modules.side; ++row) {
        for (std::size_t from = 0; from < modules.side;) {
            if (!modules.at(from, row)) {
                ++from;
                continue;
            }
            // A run at a time: no hair lines between neighbours.
            std::size_t to = from;
            while (to < modules.side && modules.at(to, row)) ++to;
            canvas.box(x + (kQuiet + static_cast<double>(from)) * step,
                       y + (kQuiet + static_cast<double>(row)) * step, static_cast<double>(to - from) * step,
                       step, 0.0);
            from = to;
        }
    }
}

} // namespace quietpass
