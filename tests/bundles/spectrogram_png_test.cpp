#include "daemon/bundles/spectrogram_png.h"

#include <cairo/cairo.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <fstream>
#include <numbers>

#include "daemon/failure.h"

using namespace quietpass;

namespace {

struct Picture {
    int width = 0;
    int height = 0;
    std::vector<int> greys; // 0 black, 255 white

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

Picture picture_of(std::string png) {
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

// Two seconds of 16 kHz: nothing, then a tone from 1.0 to 1.5 s.
std::vector<float> tone(double hz) {
    std::vector<float> samples(32000, 0.0F);
    for (std::size_t i = 16000; i < 24000; ++i) {
        samples[i] = static_cast<float>(
            0.3 * std::sin(2.0 * std::numbers::pi * hz / 16000.0 * static_cast<double>(i)));
    }
    return samples;
}

SpectrogramOf two_seconds() {
    return {"box-1, 2026-03-02 06:10:30 America/Denver, passage 12, call 4",
            {"head"},
            16000.0,
            {{1.0, 1.5}},
            true};
}

} // namespace

TEST_CASE("A tone is a dark line at its frequency and its time, and a mark is above it") {
    const std::string png = spectrogram_png(two_seconds(), std::vector<std::vector<float>>{tone(2000.0)});
    if (const char* to = std::getenv("QUIETPASS_PICTURES")) {
        std::ofstream(std::string(to) + "/spectrogram.png", std::ios::binary) << png;
    }
    const Picture picture = picture_of(png);
    // The plot is 980 by 320 from (80, 58) on: 2 kHz of 8 is a quarter up, 1.25 s of 2 is 5/8 along.
    const int x = 80 + 980 * 5 / 8;
    CHECK(picture.darkest(x, 60, 376) == Approx(58 + 240).margin(4));
    CHECK(picture.at(x, 58 + 240) < 60);
    CHECK(picture.at(80 + 980 / 4, 58 + 240) > 250);
    CHECK(picture.at(x, 58 - 7) < 60);
    CHECK(picture.at(80 + 980 / 4, 58 - 7) > 250);
}

TEST_CASE("Each microphone has a panel, and the same clip gives the same bytes") {
    SpectrogramOf what = two_seconds();
    what.microphones = {"head", "race"};
    const std::vector<std::vector<float>> both = {tone(1000.0), tone(4000.0)};
    const std::string png = spectrogram_png(what, both);
    CHECK(png == spectrogram_png(what, both));
    const Picture one = picture_of(spectrogram_png(two_seconds(), std::span(both).first(1)));
    CHECK(picture_of(png).height > one.height + 320);
}

TEST_CASE("A clip without a sample can't be drawn, in one line") {
    CHECK_THROWS_AS(spectrogram_png(two_seconds(), std::vector<std::vector<float>>{{}}), Failure);
}
