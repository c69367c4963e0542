#include "dsp/delay_estimator.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <vector>

#include "tests/dsp/allocation_counter.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

constexpr double kRate_hz = 16000.0;
constexpr double kLongest_s = 0.025;

// A voice whose pitch swings, 1.5 s of it, heard delay_s later: exact at any fraction of a sample.
std::vector<float> voice(double delay_s, double f0_hz = 150.0, double swing_hz = 40.0, double gain = 0.1,
                         double highest_hz = 4000.0) {
    constexpr double kSwing_rad_s = 2.0 * std::numbers::pi * 1.5;
    std::vector<float> out(24000);
    for (std::size_t n = 0; n < out.size(); ++n) {
        const double t = static_cast<double>(n) / kRate_hz - delay_s;
        const double phase =
            2.0 * std::numbers::pi * (f0_hz * t - swing_hz / kSwing_rad_s * std::cos(kSwing_rad_s * t));
        double sum = 0.0;
        for (int h = 1; h * (f0_hz + swing_hz) < highest_hz; ++h) sum += std::sin(h * phase + h * h) / h;
        out[n] = static_cast<float>(gain * sum);
    }
    return out;
}

std::vector<float> with_noise(std::vector<float> samples, double snr_db, std::uint32_t seed) {
    const double deviation = std::sqrt(signals::mean_square(samples) * std::pow(10.0, -snr_db / 10.0));
    signals::Noise noise(seed);
    for (float& sample : samples) sample += static_cast<float>(deviation * noise.next());
    return samples;
}

// Dense, decaying echoes that differ between the two places, as loud as the direct sound and falling by 60 dB
// in a second.
std::vector<float> with_hall(const std::vector<float>& samples, std::uint32_t seed) {
    signals::Noise noise(seed);
    std::vector<std::pair<std::size_t, double>> echoes;
    double energy = 0.0;
    for (std::size_t delay = 96; delay < 12000; delay += 37) {
        const double size = noise.next() * std::pow(10.0, -3.0 * static_cast<double>(delay) / kRate_hz);
        echoes.emplace_back(delay, size);
        energy += size * size;
    }
    std::vector<float> out = samples;
    for (const auto& [delay, size] : echoes) {
        const float gain = static_cast<float>(size / std::sqrt(energy));
        for (std::size_t n = delay; n < out.size(); ++n) out[n] += gain * samples[n - delay];
    }
    return out;
}

DelayEstimator estimator() {
    return DelayEstimator(kRate_hz, 80.0, 2500.0, kLongest_s);
}

} // namespace

TEST_CASE("a delay is found to a hundredth of a sample, whichever channel is the later") {
    const double delay_s = GENERATE(0.0, 0.25 / kRate_hz, 0.001, 0.0123456, -0.0171234, -0.0000313);
    DelayEstimator delay = estimator();
    delay.process(voice(0.0), voice(delay_s));
    const DelayEstimator::Peak peak = delay.strongest(-kLongest_s, kLongest_s);
    CHECK(peak.delay_s == Approx(delay_s).margin(0.01 / kRate_hz));
    CHECK(peak.height > 0.8); // the windows overlap by the less the longer the delay
    CHECK(peak.height <= 1.0 + 1e-6);
}

TEST_CASE("the level of a channel changes nothing of its delay") {
    DelayEstimator delay = estimator();
    delay.process(voice(0.0, 150.0, 40.0, 0.3), voice(0.0123, 150.0, 40.0, 0.0004));
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(0.0123).margin(1e-6));
}

TEST_CASE("a delay is found in noise as loud as the call on either channel") {
    for (std::uint32_t seed = 1; seed <= 10; ++seed) {
        const double delay_s = -0.02 + 0.004 * seed;
        DelayEstimator delay = estimator();
        delay.process(with_noise(voice(0.0), 0.0, seed), with_noise(voice(delay_s), 0.0, 100 + seed));
        const DelayEstimator::Peak peak = delay.strongest(-kLongest_s, kLongest_s);
        CAPTURE(seed);
        CHECK(peak.delay_s == Approx(delay_s).margin(0.3 / kRate_hz));
        CHECK(peak.height > 5.0 * delay.spread());
    }
}

TEST_CASE("a delay is found in a hall whose echoes are as loud as the call") {
    for (std::uint32_t seed = 1; seed <= 10; ++seed) {
        const double delay_s = -0.02 + 0.004 * seed;
        DelayEstimator delay = estimator();
        delay.process(with_hall(voice(0.0), seed), with_hall(voice(delay_s), 100 + seed));
        const DelayEstimator::Peak peak = delay.strongest(-kLongest_s, kLongest_s);
        CAPTURE(seed);
        CHECK(peak.delay_s == Approx(delay_s).margin(0.5 / kRate_hz));
    }
}

TEST_CASE("weights take a band out in which another sound has its own delay") {
    // A louder hum of harmonics below 1 kHz, later on the second channel; the call is above, earlier.
    std::vector<float> first = voice(0.0, 1200.0, 200.0);
    std::vector<float> second = voice(-0.008, 1200.0, 200.0);
    const std::vector<float> hum_first = voice(0.0, 70.0, 10.0, 0.5, 900.0);
    const std::vector<float> hum_second = voice(0.011, 70.0, 10.0, 0.5, 900.0);
    for (std::size_t n = 0; n < first.size(); ++n) {
        first[n] += hum_first[n];
        second[n] += hum_second[n];
    }
    DelayEstimator delay = estimator();
    first = with_noise(first, 30.0, 1);
    second = with_noise(second, 30.0, 2);
    delay.process(first, second);
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(0.011).margin(1e-4));
    std::vector<float> weights(DelayEstimator::kBins, 0.0F);
    for (std::size_t bin = 0; bin < weights.size(); ++bin) {
        const double hz = static_cast<double>(bin) * kRate_hz / static_cast<double>(DelayEstimator::kFrame);
        if (std::abs(hz - 1200.0) < 220.0) weights[bin] = 1.0F;
    }
    delay.process(first, second, weights);
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(-0.008).margin(2e-4));
}

TEST_CASE("weights frame by frame take out the moments of another sound") {
    // From the middle on, a louder sound with a delay of its own.
    std::vector<float> first = voice(0.0);
    std::vector<float> second = voice(-0.008);
    const std::vector<float> other = signals::noise(24000, 1.0, 7);
    for (std::size_t n = 12000; n + 160 < first.size(); ++n) {
        first[n] += other[n];
        second[n + 160] += other[n];
    }
    DelayEstimator delay = estimator();
    delay.process(first, second);
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(0.01).margin(1e-4));
    std::vector<float> weights(DelayEstimator::frames_of(first.size()) * DelayEstimator::kBins, 0.0F);
    const std::size_t frames_before = (12000 - DelayEstimator::kFrame) / DelayEstimator::kStep + 1;
    std::fill_n(weights.begin(), frames_before * DelayEstimator::kBins, 1.0F);
    delay.process(first, second, weights);
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(-0.008).margin(1e-4));
}

TEST_CASE("channels that have nothing in common give no peak that stands out") {
    for (std::uint32_t seed = 1; seed <= 20; ++seed) {
        DelayEstimator delay = estimator();
        delay.process(signals::noise(24000, 0.1, seed), signals::noise(24000, 0.1, 100 + seed));
        CAPTURE(seed);
        CHECK(delay.strongest(-kLongest_s, kLongest_s).height < 5.0 * delay.spread());
    }
}

TEST_CASE("a steady pitch has rivals a period away, and they are there to be seen") {
    DelayEstimator delay = estimator();
    delay.process(with_noise(voice(0.0, 200.0, 0.0), 10.0, 1), with_noise(voice(0.002, 200.0, 0.0), 10.0, 2));
    const double right = delay.strongest(0.001, 0.003).height;
    const double rival = delay.strongest(0.006, 0.008).height;
    CHECK(rival > 0.8 * right);
}

TEST_CASE("silence and sounds shorter than a frame are no trouble") {
    DelayEstimator delay = estimator();
    const std::vector<float> silence(6000, 0.0F);
    delay.process(silence, silence);
    CHECK(delay.strongest(-kLongest_s, kLongest_s).height == 0.0);
    CHECK(delay.spread() == 0.0);
    const std::vector<float> first = voice(0.0);
    const std::vector<float> second = voice(0.003);
    delay.process(std::span(first).subspan(8000, 2500), std::span(second).subspan(8000, 2500));
    CHECK(delay.strongest(-kLongest_s, kLongest_s).delay_s == Approx(0.003).margin(1e-4));
    const std::vector<float> none;
    delay.process(none, none);
    CHECK(delay.spread() == 0.0);
}

TEST_CASE("finding a delay allocates nothing") {
    DelayEstimator delay = estimator();
    const std::vector<float> first = voice(0.0);
    const std::vector<float> second = voice(0.01);
    const std::size_t before = allocations_so_far();
    delay.process(first, second);
    const DelayEstimator::Peak peak = delay.strongest(-kLongest_s, kLongest_s);
    CHECK(allocations_so_far() == before);
    CHECK(peak.height > 0.0);
}

TEST_CASE("a band or a longest delay that can't be is refused") {
    CHECK_THROWS_AS(DelayEstimator(0.0, 80.0, 2500.0, 0.02), std::invalid_argument);
    CHECK_THROWS_AS(DelayEstimator(16000.0, 2500.0, 80.0, 0.02), std::invalid_argument);
    CHECK_THROWS_AS(DelayEstimator(16000.0, 80.0, 8001.0, 0.02), std::invalid_argument);
    CHECK_THROWS_AS(DelayEstimator(16000.0, 80.0, 2500.0, 0.0), std::invalid_argument);
    CHECK_THROWS_AS(DelayEstimator(16000.0, 80.0, 2500.0, 0.033), std::invalid_argument);
}
