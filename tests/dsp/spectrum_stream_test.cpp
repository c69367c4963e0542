#include "dsp/spectrum_stream.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "dsp/framer.h"
#include "dsp/power_spectrum.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

using Powers = std::vector<std::vector<float>>;

void take(const SpectrumStream& stream, Powers& out) {
    for (std::size_t i = 0; i < stream.count(); ++i)
        out.emplace_back(stream.power(i).begin(), stream.power(i).end());
}

Powers all_powers(std::span<const float> audio, std::size_t block) {
    SpectrumStream stream;
    Powers out;
    while (!audio.empty()) {
        std::span<const float> rest = audio.first(std::min(block, audio.size()));
        audio = audio.subspan(rest.size());
        while (stream.next(rest)) take(stream, out);
    }
    if (stream.flush()) take(stream, out);
    return out;
}

std::vector<float> tone_in_noise(std::size_t count) {
    std::vector<float> audio = signals::sine(437.0, kAnalysisRateHz, count, 0.7);
    const std::vector<float> noise = signals::noise(count, 1e-4);
    for (std::size_t n = 0; n < count; ++n) audio[n] += noise[n];
    return audio;
}

} // namespace

TEST_CASE(
    "four spectra at a time are the spectra of the frames one by one, within 120 dB of the strongest bin") {
    const std::vector<float> audio = tone_in_noise(20000);
    const Powers powers = all_powers(audio, 700);
    Framer framer(kFrameSize, kHop);
    PowerSpectrum spectrum;
    std::vector<float> power(kBins);
    std::span<const float> rest = audio;
    std::size_t frame = 0;
    while (framer.next(rest)) {
        REQUIRE(frame < powers.size());
        spectrum.process(framer.frame(), power);
        const float strongest = *std::max_element(power.begin(), power.end());
        for (std::size_t k = 0; k < kBins; ++k) {
            // Amplitudes differ by rounding in the transform only.
            CHECK(std::abs(std::sqrt(powers[frame][k]) - std::sqrt(power[k])) < 1e-6F * std::sqrt(strongest));
        }
        ++frame;
    }
    CHECK(frame == powers.size());
}

TEST_CASE("a frame's powers don't depend on the frames it is transformed with, nor on the cut into blocks") {
    const std::vector<float> audio = tone_in_noise(kFrameSize + 40 * kHop + 100);
    const Powers whole = all_powers(audio, audio.size());
    REQUIRE(whole.size() == 41);
    for (const std::size_t block : {std::size_t{1}, std::size_t{255}, std::size_t{5000}})
        CHECK(all_powers(audio, block) == whole);
    for (const std::size_t later : {std::size_t{1}, std::size_t{2}, std::size_t{3}}) {
        const Powers shifted = all_powers(std::span(audio).subspan(later * kHop), 1000);
        CHECK(shifted == Powers(whole.begin() + static_cast<std::ptrdiff_t>(later), whole.end()));
    }
}

TEST_CASE("what is left is given out at the end, and a new stream begins afresh") {
    const std::vector<float> audio = tone_in_noise(kFrameSize + 5 * kHop);
    SpectrumStream stream;
    Powers powers;
    std::span<const float> rest = audio;
    while (stream.next(rest)) take(stream, powers);
    CHECK(powers.size() == 4);
    REQUIRE(stream.flush());
    take(stream, powers);
    CHECK(powers.size() == 6);
    CHECK_FALSE(stream.flush());
    stream.reset();
    rest = std::span(audio).first(kFrameSize - 1);
    CHECK_FALSE(stream.next(rest));
    CHECK_FALSE(stream.flush());
    rest = std::span(audio).subspan(kFrameSize - 1, 1);
    CHECK_FALSE(stream.next(rest));
    REQUIRE(stream.flush());
    REQUIRE(stream.count() == 1);
    CHECK(std::ranges::equal(stream.power(0), powers[0]));
}

TEST_CASE("sizes that the transform can't do and hops beyond the frame are refused") {
    CHECK_THROWS_AS(SpectrumStream(1022, 256), std::invalid_argument);
    CHECK_THROWS_AS(SpectrumStream(0, 1), std::invalid_argument);
    CHECK_THROWS_AS(SpectrumStream(1024, 0), std::invalid_argument);
    CHECK_THROWS_AS(SpectrumStream(1024, 1025), std::invalid_argument);
    CHECK_THROWS_AS(SpectrumStream(4 * 7, 4), std::invalid_argument);
}
