#include "dsp/power_spectrum.h"

#include <catch2/catch.hpp>
#include <numeric>

#include "dsp/window.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

TEST_CASE("a full-scale sine on a bin reads 0 dB there and a quarter beside it") {
    PowerSpectrum spectrum;
    std::vector<float> power(kBins);
    spectrum.process(signals::sine(100.0 * kBinHz, kAnalysisRateHz, kFrameSize), power);
    CHECK(power[100] == Approx(1.0).epsilon(1e-4));
    CHECK(power[99] == Approx(0.25).epsilon(1e-4));
    CHECK(power[101] == Approx(0.25).epsilon(1e-4));
    CHECK(power[110] < 1e-9F);
}

TEST_CASE("the bins over the noise bandwidth add up to a sine's power wherever it lies") {
    PowerSpectrum spectrum;
    std::vector<float> power(kBins);
    for (const double frequency : {1003.0, 2222.2, 5000.7}) {
        spectrum.process(signals::sine(frequency, kAnalysisRateHz, kFrameSize, 0.5), power);
        const double sum = std::accumulate(power.begin(), power.end(), 0.0);
        CHECK(sum / spectrum.noise_bandwidth_bins() == Approx(0.25).epsilon(0.01));
    }
}

TEST_CASE("Hann's coherent gain is a half and its noise bandwidth one and a half bins") {
    // Harris, Proc. IEEE 66 (1978) 51, table 1.
    const std::vector<float> window = hann_periodic(1024);
    CHECK(coherent_gain(window) == Approx(0.5).epsilon(1e-6));
    CHECK(noise_bandwidth_bins(window) == Approx(1.5).epsilon(1e-6));
}
