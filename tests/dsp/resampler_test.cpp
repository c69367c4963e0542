#include "dsp/resampler.h"

#include <catch2/catch.hpp>
#include <stdexcept>

#include "tests/dsp/signals.h"

using namespace quietpass;
using quietpass::dsp::Resampler;

namespace {

std::vector<float> resample(const std::vector<float>& in, double rate_hz, std::size_t block) {
    Resampler resampler(rate_hz);
    std::vector<float> out;
    std::vector<float> room(resampler.max_output(block));
    for (std::size_t start = 0; start < in.size(); start += block) {
        const std::size_t count = std::min(block, in.size() - start);
        const std::size_t written = resampler.process({&in[start], count}, room);
        REQUIRE(written <= resampler.max_output(count));
        out.insert(out.end(), room.begin(), room.begin() + static_cast<std::ptrdiff_t>(written));
    }
    const std::size_t written = resampler.finish(room);
    out.insert(out.end(), room.begin(), room.begin() + static_cast<std::ptrdiff_t>(written));
    return out;
}

// Amplitude of the output for a sine that goes in, after the ends have settled.
double gain_at(double frequency_hz, double rate_hz) {
    const auto out =
        resample(signals::sine(frequency_hz, rate_hz, static_cast<std::size_t>(rate_hz)), rate_hz, 4096);
    const std::vector<float> middle(out.begin() + 4000, out.begin() + 12000);
    return std::sqrt(2.0 * signals::mean_square(middle));
}

} // namespace

TEST_CASE("any device rate gives ceil(count · 16000 / rate) samples, each at its own time") {
    const double rate = GENERATE(8000.0, 11025.0, 16000.0, 22050.0, 32000.0, 44100.0, 47999.0, 48000.0,
                                 88200.0, 96000.0, 176400.0, 192000.0);
    CAPTURE(rate);
    const auto count = static_cast<std::size_t>(rate / 2.0) + 1;
    const double frequency = 997.0;
    const std::vector<float> out = resample(signals::sine(frequency, rate, count, 0.5), rate, 1000);
    CHECK(out.size() ==
          static_cast<std::size_t>(std::ceil(static_cast<double>(count) * 16000.0 / rate - 1e-6)));
    const std::vector<float> expected = signals::sine(frequency, 16000.0, out.size(), 0.5);
    double worst = 0.0;
    for (std::size_t k = 200; k + 200 < out.size(); ++k) {
        worst = std::max(worst, std::abs(static_cast<double>(out[k]) - static_cast<double>(expected[k])));
    }
    CHECK(worst < 0.001); // half a sample of delay would be 0.1
}

TEST_CASE("the output is the same to the bit however the input is cut") {
    const double rate = GENERATE(8000.0, 16000.0, 44100.0, 48000.0, 96000.0, 47999.0);
    CAPTURE(rate);
    const std::vector<float> in = signals::noise(20000, 0.2);
    const std::vector<float> whole = resample(in, rate, in.size());
    for (const std::size_t block : {1, 7, 441, 512, 4096, 4097}) {
        REQUIRE(resample(in, rate, block) == whole);
    }
}

TEST_CASE("the pass band is flat to 7 kHz") {
    const double rate = GENERATE(32000.0, 44100.0, 48000.0, 96000.0, 192000.0);
    CAPTURE(rate);
    for (const double frequency : {50.0, 1000.0, 3000.0, 5000.0, 6000.0, 6900.0, 7000.0}) {
        CAPTURE(frequency);
        CHECK(20.0 * std::log10(gain_at(frequency, rate)) == Approx(0.0).margin(0.02));
    }
}

TEST_CASE("what would fold below 7 kHz is at least 80 dB down") {
    const double rate = GENERATE(44100.0, 48000.0, 96000.0);
    CAPTURE(rate);
    for (const double frequency :
         {9000.0, 9500.0, 10000.0, 12000.0, 15000.0, 16000.0, 17000.0, 20000.0, 21999.0}) {
        CAPTURE(frequency);
        CHECK(20.0 * std::log10(gain_at(frequency, rate)) < -80.0);
    }
}

TEST_CASE("a reset resampler repeats itself") {
    Resampler resampler(44100.0);
    const std::vector<float> in = signals::noise(3000, 0.2);
    std::vector<float> first(resampler.max_output(in.size()));
    std::vector<float> second(first.size());
    first.resize(resampler.process(in, first));
    resampler.reset();
    second.resize(resampler.process(in, second));
    CHECK(first == second);
}

TEST_CASE("rates outside 8 to 192 kHz are refused") {
    for (const double rate : {0.0, -48000.0, 7999.0, 192001.0, std::nan("")}) {
        CHECK_THROWS_AS(Resampler(rate), std::invalid_argument);
    }
}
