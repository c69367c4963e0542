#include "daemon/hearing/sound_memory.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

using namespace quietpass;

namespace {

// Each sample says its index: at the analysis rate nothing is resampled.
std::vector<float> counting(std::size_t first, std::size_t count) {
    std::vector<float> samples(count);
    for (std::size_t i = 0; i < count; ++i) samples[i] = static_cast<float>(first + i) / 1e6F;
    return samples;
}

} // namespace

TEST_CASE("an excerpt holds the samples of its span, however they came") {
    const std::size_t block = GENERATE(1U, 160U, 777U, 40000U);
    SoundMemory memory(16000.0, 10.0);
    for (std::size_t at = 0; at < 40000; at += block) memory.hear(counting(at, std::min(block, 40000 - at)));
    std::vector<float> out;
    REQUIRE(memory.excerpt(1.0, 1.5, out));
    CHECK(out == counting(16000, 8000));
    CHECK_FALSE(memory.excerpt(2.4, 2.6, out));
    CHECK(out.empty());
    CHECK_FALSE(memory.excerpt(-0.1, 0.5, out));
    CHECK_FALSE(memory.excerpt(0.5, 0.5, out));
}

TEST_CASE("memory is bounded, and what was forgotten is not given out") {
    SoundMemory memory(16000.0, 2.0);
    for (std::size_t at = 0; at < 1600000; at += 1600) {
        memory.hear(counting(at, 1600));
        REQUIRE(memory.size() <= 32000);
    }
    CHECK(memory.kept_from_s() == Approx(98.0));
    std::vector<float> out;
    CHECK_FALSE(memory.excerpt(97.9, 98.5, out));
    REQUIRE(memory.excerpt(98.5, 99.0, out));
    CHECK(out.front() == Approx(98.5 * 16000.0 / 1e6));
    memory.forget_before(99.5);
    CHECK(memory.size() == 8000);
    CHECK_FALSE(memory.excerpt(98.5, 99.0, out));
    memory.forget_before(50.0);
    CHECK(memory.size() == 8000);
    memory.forget_before(500.0);
    CHECK(memory.size() == 0);
}

TEST_CASE("no excerpt reaches across a loss, and times go on behind it") {
    SoundMemory memory(16000.0, 10.0);
    memory.hear(counting(0, 16000));
    memory.lose(16000);
    memory.hear(counting(32000, 16000));
    std::vector<float> out;
    CHECK_FALSE(memory.excerpt(0.5, 0.9, out));
    CHECK_FALSE(memory.excerpt(0.5, 2.5, out));
    REQUIRE(memory.excerpt(2.25, 2.5, out));
    CHECK(out == counting(36000, 4000));
}

TEST_CASE("an excerpt is at the analysis rate, and its first sample is the span's start") {
    SoundMemory memory(48000.0, 10.0);
    std::vector<float> tone(48000 * 3);
    for (std::size_t i = 0; i < tone.size(); ++i)
        tone[i] =
            static_cast<float>(std::sin(2.0 * std::numbers::pi * 440.0 * static_cast<double>(i) / 48000.0));
    memory.hear(tone);
    std::vector<float> out;
    REQUIRE(memory.excerpt(1.0, 2.0, out));
    REQUIRE(out.size() == 16000);
    for (std::size_t i = 400; i < 15600; ++i) {
        const double t = 1.0 + static_cast<double>(i) / 16000.0;
        REQUIRE(static_cast<double>(out[i]) ==
                Approx(std::sin(2.0 * std::numbers::pi * 440.0 * t)).margin(0.005));
    }
}
