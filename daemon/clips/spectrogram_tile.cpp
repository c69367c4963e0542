#include "daemon/clips/spectrogram_tile.h"

#include <cairo/cairo.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "daemon/clips/spectrogram_levels.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;

void check(cairo_status_t status) {
    if (status == CAIRO_STATUS_SUCCESS) return;
    throw Failure(kExitFailure,
                  std::string("spectrogram: it can't be drawn: ") + cairo_status_to_string(status));
}

} // namespace

std::string spectrogram_tile(ClipStretch& clip, const TileWish& wish) {
    const double rate_hz = clip.rate_hz();
    const auto margin = static_cast<std::int64_t>(spectrogram_frame(rate_hz));
    const std::int64_t first = static_cast<std::int64_t>(std::floor(wish.from_s * rate_hz)) - margin;
    const std::int64_t last = static_cast<std::int64_t>(std::ceil(wish.to_s * rate_hz)) + margin;
    const std::vector<float> samples = clip.samples(wish.channel, first, last);
    SpectrogramGrid grid;
    grid.width = static_cast<std::size_t>(wish.width);
    grid.height = static_cast<std::size_t>(wish.height);
    grid.from = wish.from_s * rate_hz - static_cast<double>(first);
    grid.to = wish.to_s * rate_hz - static_cast<double>(first);
    grid.highest_hz = wish.highest_hz;
    const std::vector<float> levels = spectrogram_levels(samples, rate_hz, grid);

    // Of the formats that cairo has, this one becomes a grey PNG.
    const Surface surface(cairo_image_surface_create(CAIRO_FORMAT_A8, wish.width, wish.height),
                          cairo_surface_destroy);
    check(cairo_surface_status(surface.get()));
    unsigned char* pixels = cairo_image_surface_get_data(surface.get());
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(surface.get()));
    for (std::size_t y = 0; y < grid.height; ++y) {
        for (std::size_t x = 0; x < grid.width; ++x) {
            const double level_db = static_cast<double>(levels[y * grid.width + x]);
            const double part = (level_db - wish.low_db) / (wish.high_db - wish.low_db);
            pixels[y * stride + x] =
                static_cast<unsigned char>(std::lround(255.0 * std::clamp(part, 0.0, 1.0)));
        }
    }
    cairo_surface_mark_dirty(surface.get());
    std::string bytes;
    const auto take = [](void* to, const unsigned char* data, unsigned int length) {
        static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
        return CAIRO_STATUS_SUCCESS;
    };
    check(cairo_surface_write_to_png_stream(surface.get(), take, &bytes));
    return bytes;
}

} // namespace quietpass
