#include "daemon/bundles/spectrogram_png.h"

#include <cairo/cairo.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "daemon/clips/spectrogram_levels.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr int kWidth = 1100;
constexpr int kPanelWidth = 980;
constexpr int kPanelHeight = 320;
constexpr int kLeft = 80;
constexpr int kTop = 58;     // title, marks of the calls
constexpr int kBetween = 74; // below a panel: its time axis, the next one's name and marks
constexpr double kHighestHz = 8000.0;
constexpr double kRangeDb = 70.0;

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;
using Pen = std::unique_ptr<cairo_t, decltype(&cairo_destroy)>;

// 1, 2 or 5 times a power of ten, some `wished` of them in all of it.
double step_of(double all, double wished) {
    const double rough = all / wished;
    const double decade = std::pow(10.0, std::floor(std::log10(rough)));
    for (const double step : {1.0, 2.0, 5.0}) {
        if (step * decade >= rough) return step * decade;
    }
    return 10.0 * decade;
}

std::string short_number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", std::round(value * 1000.0) / 1000.0);
    return text;
}

class Drawing {
  public:
    explicit Drawing(int height)
        : surface_(cairo_image_surface_create(CAIRO_FORMAT_RGB24, kWidth, height), cairo_surface_destroy),
          pen_(cairo_create(surface_.get()), cairo_destroy) {
        cairo_set_source_rgb(pen_.get(), 1.0, 1.0, 1.0);
        cairo_paint(pen_.get());
        cairo_set_source_rgb(pen_.get(), 0.0, 0.0, 0.0);
        cairo_select_font_face(pen_.get(), "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    }

    // align: 0 from x on, 0.5 around it, 1 up to it.
    void words(double x, double y, const std::string& text, double align = 0.0, double size = 13.0) {
        cairo_set_font_size(pen_.get(), size);
        cairo_text_extents_t extents;
        cairo_text_extents(pen_.get(), text.c_str(), &extents);
        cairo_move_to(pen_.get(), x - align * extents.x_advance, y);
        cairo_show_text(pen_.get(), text.c_str());
    }

    void words_upwards(double x, double y, const std::string& text) {
        cairo_save(pen_.get());
        cairo_translate(pen_.get(), x, y);
        cairo_rotate(pen_.get(), -std::acos(0.0));
        words(0.0, 0.0, text, 0.5);
        cairo_restore(pen_.get());
    }

    void line(double x0, double y0, double x1, double y1, double width = 1.0, bool dashed = false) {
        const double dashes[] = {5.0, 4.0};
        cairo_set_dash(pen_.get(), dashes, dashed ? 2 : 0, 0.0);
        cairo_set_line_width(pen_.get(), width);
        cairo_move_to(pen_.get(), x0, y0);
        cairo_line_to(pen_.get(), x1, y1);
        cairo_stroke(pen_.get());
    }

    void panel(int left, int top, const std::vector<float>& levels, double loudest_db) {
        cairo_surface_flush(surface_.get());
        unsigned char* pixels = cairo_image_surface_get_data(surface_.get());
        const int stride = cairo_image_surface_get_stride(surface_.get());
        for (int y = 0; y < kPanelHeight; ++y) {
            for (int x = 0; x < kPanelWidth; ++x) {
                const auto at = static_cast<std::size_t>(y) * kPanelWidth + static_cast<std::size_t>(x);
                const double loud =
                    std::clamp((static_cast<double>(levels[at]) - loudest_db) / kRangeDb + 1.0, 0.0, 1.0);
                const auto grey = static_cast<unsigned char>(std::lround(255.0 * (1.0 - loud)));
                unsigned char* pixel = pixels + (top + y) * stride + (left + x) * 4;
                std::fill(pixel, pixel + 3, grey);
            }
        }
        cairo_surface_mark_dirty(surface_.get());
        line(left, top, left + kPanelWidth, top);
        line(left, top + kPanelHeight, left + kPanelWidth, top + kPanelHeight);
        line(left, top, left, top + kPanelHeight);
        line(left + kPanelWidth, top, left + kPanelWidth, top + kPanelHeight);
    }

    std::string png() {
        std::string bytes;
        const auto take = [](void* to, const unsigned char* data, unsigned int length) {
            static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
            return CAIRO_STATUS_SUCCESS;
        };
        const cairo_status_t status = cairo_surface_write_to_png_stream(surface_.get(), take, &bytes);
        if (status != CAIRO_STATUS_SUCCESS || cairo_status(pen_.get()) != CAIRO_STATUS_SUCCESS) {
            throw Failure(kExitFailure,
                          std::string("spectrogram: it can't be drawn: ") + cairo_status_to_string(status));
        }
        return bytes;
    }

  private:
    Surface surface_;
    Pen pen_;
};

void draw_axes(Drawing& drawing, int top, double seconds, double highest_hz, bool with_label) {
    const double bottom = top + kPanelHeight;
    const double second_step = step_of(seconds, 8.0);
    for (int i = 0; i * second_step <= seconds + 1e-9; ++i) {
        const double x = kLeft + i * second_step / seconds * kPanelWidth;
        drawing.line(x, bottom, x, bottom + 5.0);
        drawing.words(x, bottom + 19.0, short_number(i * second_step), 0.5, 12.0);
    }
    if (with_label) {
        drawing.words(kLeft + kPanelWidth / 2.0, bottom + 38.0, "seconds from the start of the clip", 0.5);
    }
    const double hz_step = step_of(highest_hz, 8.0);
    for (int i = 0; i * hz_step <= highest_hz + 1e-6; ++i) {
        const double y = bottom - i * hz_step / highest_hz * kPanelHeight;
        drawing.line(kLeft - 5.0, y, kLeft, y);
        drawing.words(kLeft - 8.0, y + 4.0, short_number(i * hz_step / 1000.0), 1.0, 12.0);
    }
    drawing.words_upwards(kLeft - 46.0, top + kPanelHeight / 2.0, "frequency, kHz");
}

void draw_calls(Drawing& drawing, int top, double seconds, const SpectrogramOf& what) {
    const auto x_of = [seconds](double at_s) {
        return kLeft + std::clamp(at_s / seconds, 0.0, 1.0) * kPanelWidth;
    };
    for (const CallSpan& call : what.calls) {
        const double from = x_of(call.start_s);
        const double to = x_of(call.end_s);
        drawing.line(from, top - 7.0, to, top - 7.0, 5.0);
        drawing.line(from, top, from, top + kPanelHeight, 1.0, true);
        drawing.line(to, top, to, top + kPanelHeight, 1.0, true);
        drawing.words((from + to) / 2.0, top - 13.0, "call", 0.5, 12.0);
    }
}

} // namespace

std::string spectrogram_png(const SpectrogramOf& what, std::span<const std::vector<float>> channels) {
    if (channels.empty() || channels.front().empty() || !(what.rate_hz > 0.0)) {
        throw Failure(kExitFailure, "spectrogram: " + what.title + ": no sound to draw");
    }
    const double highest_hz = std::min(kHighestHz, what.rate_hz / 2.0);
    const double seconds = static_cast<double>(channels.front().size()) / what.rate_hz;
    std::vector<std::vector<float>> panels;
    float loudest_db = -120.0F;
    for (const std::vector<float>& samples : channels) {
        panels.push_back(spectrogram_levels(
            samples, what.rate_hz,
            {kPanelWidth, kPanelHeight, 0.0, static_cast<double>(samples.size()), highest_hz}));
        loudest_db = std::max(loudest_db, *std::max_element(panels.back().begin(), panels.back().end()));
    }
    const auto count = static_cast<int>(panels.size());
    Drawing drawing(kTop + count * (kPanelHeight + kBetween) + 10);
    drawing.words(kLeft, 20.0, what.title, 0.0, 14.0);
    for (int i = 0; i < count; ++i) {
        const int top = kTop + i * (kPanelHeight + kBetween);
        const auto at = static_cast<std::size_t>(i);
        drawing.panel(kLeft, top, panels[at], static_cast<double>(loudest_db));
        draw_axes(drawing, top, seconds, highest_hz, i + 1 == count);
        draw_calls(drawing, top, seconds, what);
        const std::string name = at < what.microphones.size() ? what.microphones[at] : "";
        drawing.words(kLeft + kPanelWidth, top - 13.0, "microphone " + name, 1.0, 12.0);
    }
    const std::string masked =
        what.masked ? "Outside the calls speech is masked: noise of the same level. " : "";
    drawing.words(kLeft, kTop + count * (kPanelHeight + kBetween) - 10.0,
                  masked + "Black: loudest; white: 70 dB below it or less.", 0.0, 12.0);
    return drawing.png();
}

} // namespace quietpass
