// Spectral measures and MFCC against scipy 1.10.1 (golden/spectral.csv, made by golden/make_golden.py).
// Tolerance: 0.1 % of the value, or 1e-4 (flux 1e-3) where that is more: single against double precision.
#include <catch2/catch.hpp>

#include <cmath>
#include <map>

#include "dsp/analysis.h"
#include "dsp/filter_bank.h"
#include "dsp/mfcc.h"
#include "dsp/power_spectrum.h"
#include "dsp/spectral_measures.h"
#include "tests/standards/golden_signals.h"
#include "tests/standards/golden_table.h"
#include "tests/standards/recording.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

constexpr BinRange kRange{4, 512};

// A made signal, or "file@seconds" of a recording: two frames from there.
std::vector<float> signal_of(const std::string& name) {
    const std::size_t at = name.find('@');
    if (at == std::string::npos) return golden::spectral_signal(name);
    const std::vector<float> recording = golden::read_recording(name.substr(0, at));
    const auto first =
        static_cast<std::ptrdiff_t>(std::lround(std::stod(name.substr(at + 1)) * kAnalysisRateHz));
    return {recording.begin() + first, recording.begin() + first + kFrameSize + kHop};
}

double measured(const std::vector<float>& samples, const std::string& measure) {
    PowerSpectrum spectrum;
    std::vector<float> first(kBins);
    std::vector<float> power(kBins);
    spectrum.process({samples.data(), kFrameSize}, first);
    spectrum.process({samples.data() + kHop, kFrameSize}, power);
    const SpectralShape shape = spectral_shape(power, kRange, kBinHz);
    if (measure == "power") return shape.power;
    if (measure == "centroid_hz") return shape.centroid_hz;
    if (measure == "bandwidth_hz") return shape.bandwidth_hz;
    if (measure == "rolloff_hz") return shape.rolloff_hz;
    if (measure == "flatness") return shape.flatness;
    if (measure == "entropy") return shape.entropy;
    if (measure == "peak_share") return shape.peak_share;
    if (measure == "peak_hz") return shape.peak_hz;
    if (measure == "flux") return flux(power, first, kRange);
    REQUIRE(measure.rfind("mfcc_", 0) == 0);
    const FilterBank bank = FilterBank::mel(kBins, kBinHz, 40, 50.0, 8000.0);
    Mfcc mfcc(40, 13);
    std::vector<float> mel(40);
    std::vector<float> cepstrum(13);
    bank.process(power, mel);
    mfcc.process(mel, cepstrum);
    return static_cast<double>(cepstrum.at(std::stoul(measure.substr(5))));
}

} // namespace

TEST_CASE("spectral measures and MFCC of made sounds and of real calls equal scipy's within 0.1 percent") {
    std::map<std::string, std::vector<float>> signals;
    for (const auto& row : golden::read_table("spectral.csv")) {
        CAPTURE(row[0], row[1]);
        if (signals[row[0]].empty()) signals[row[0]] = signal_of(row[0]);
        // Flux is the root of a small difference of numbers near 1, so it has half the digits.
        const double margin = row[1] == "flux" ? 1e-3 : 1e-4;
        CHECK(measured(signals[row[0]], row[1]) == Approx(std::stod(row[2])).epsilon(1e-3).margin(margin));
    }
}

TEST_CASE("one measure at a time gives what all at once give") {
    for (const char* signal : {"tone", "harmonics", "noise", "chirp", "click"}) {
        const std::vector<float> samples = golden::spectral_signal(signal);
        PowerSpectrum spectrum;
        std::vector<float> power(kBins);
        spectrum.process({samples.data(), kFrameSize}, power);
        const SpectralShape shape = spectral_shape(power, kRange, kBinHz);
        CHECK(centroid_hz(power, kRange, kBinHz) == shape.centroid_hz);
        CHECK(bandwidth_hz(power, kRange, kBinHz) == shape.bandwidth_hz);
        CHECK(rolloff_hz(power, kRange, kBinHz) == shape.rolloff_hz);
        CHECK(flatness(power, kRange) == shape.flatness);
        CHECK(entropy(power, kRange) == shape.entropy);
        CHECK(band_power(power, kRange) == shape.power);
    }
}
