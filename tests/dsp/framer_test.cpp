#include "dsp/framer.h"

#include <catch2/catch.hpp>
#include <numeric>
#include <stdexcept>

using quietpass::dsp::Framer;

namespace {

// All frames of `samples`, fed in blocks of `block`.
std::vector<std::vector<float>> frames_of(const std::vector<float>& samples, std::size_t size,
                                          std::size_t hop, std::size_t block) {
    Framer framer(size, hop);
    std::vector<std::vector<float>> frames;
    for (std::size_t start = 0; start < samples.size(); start += block) {
        std::span<const float> rest(&samples[start], std::min(block, samples.size() - start));
        while (framer.next(rest)) frames.emplace_back(framer.frame().begin(), framer.frame().end());
        REQUIRE(rest.empty());
    }
    REQUIRE(framer.count() == frames.size());
    return frames;
}

} // namespace

TEST_CASE("frame k holds the samples from k hops on, whatever the block size") {
    std::vector<float> samples(1000);
    std::iota(samples.begin(), samples.end(), 0.0F);
    const auto [size, hop] = GENERATE(table<std::size_t, std::size_t>({{16, 4}, {16, 16}, {10, 3}, {1, 1}}));
    const std::size_t block = GENERATE(1, 3, 7, 64, 1000);
    const auto frames = frames_of(samples, size, hop, block);
    REQUIRE(frames.size() == (samples.size() - size) / hop + 1);
    for (std::size_t k = 0; k < frames.size(); ++k) {
        for (std::size_t n = 0; n < size; ++n) REQUIRE(frames[k][n] == static_cast<float>(k * hop + n));
    }
}

TEST_CASE("a reset framer starts again with frame 0") {
    Framer framer(4, 2);
    const std::vector<float> samples{1, 2, 3, 4, 5, 6, 7};
    std::span<const float> rest(samples);
    REQUIRE(framer.next(rest));
    framer.reset();
    rest = samples;
    REQUIRE(framer.next(rest));
    CHECK(framer.count() == 1);
    CHECK(framer.frame()[0] == 1.0F);
}

TEST_CASE("a hop of nothing or beyond the frame is refused") {
    CHECK_THROWS_AS(Framer(16, 0), std::invalid_argument);
    CHECK_THROWS_AS(Framer(16, 17), std::invalid_argument);
}
