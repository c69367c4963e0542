// A PNG as grey values, to look at what was drawn. Tests only; fails the test that asks for what is no PNG.
#pragma once

#include <cairo/cairo.h>

#include <catch2/catch.hpp>
#include <cstddef>
#include <cstring>
#include <string>
#include <vector>

namespace quietpass::test {

struct Picture {
    int width = 0;
    int height = 0;
    std::vector<int> greys; // 0 black, 255 white; row by row

    int at(int x, int y) const {
        return greys[static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
                     static_cast<std::size_t>(x)];
    }
    // The darkest row of a column between two others.
    int darkest(int x, int from_y, int to_y) const {
        int best = from_y;
        for (int y = from_y; y < to_y; ++y) {
            if (at(x, y) < at(x, best)) best = y;
        }
        return best;
    }
};

inline Picture picture_of(const std::string& png) {
    struct Rest {
        const std::string& bytes;
        std::size_t at;
    } rest{png, 0};
    const auto give = [](void* from, unsigned char* to, unsigned int length) {
        auto& left = *static_cast<Rest*>(from);
        if (left.at + length > left.bytes.size()) return CAIRO_STATUS_READ_ERROR;
        std::memcpy(to, left.bytes.data() + left.at, length);
        left.at += length;
        return CAIRO_STATUS_SUCCESS;
    };
    cairo_surface_t* surface = cairo_image_surface_create_from_png_stream(give, &rest);
    REQUIRE(cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS);
    Picture picture{cairo_image_surface_get_width(surface), cairo_image_surface_get_height(surface), {}};
    for (int y = 0; y < picture.height; ++y) {
        const unsigned char* row = cairo_image_surface_get_data(surface) +
                                   static_cast<std::ptrdiff_t>(y) * cairo_image_surface_get_stride(surface);
        for (int x = 0; x < picture.width; ++x) picture.greys.push_back(row[4 * x + 1]);
    }
    cairo_surface_destroy(surface);
    return picture;
}

} // namespace quietpass::test
