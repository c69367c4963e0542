#include <catch2/catch.hpp>
#include <stdexcept>

#include "dsp/analysis.h"
#include "dsp/filter_bank.h"
#include "dsp/mfcc.h"

using namespace quietpass::dsp;

TEST_CASE("every bin within the mel bank's range is in some band") {
    const FilterBank bank = FilterBank::mel(kBins, kBinHz, 40, 50.0, 8000.0);
    std::vector<float> power(kBins, 0.0F);
    std::vector<float> bands(bank.count());
    for (std::size_t k = 4; k < 512; ++k) {
        power[k] = 1.0F;
        bank.process(power, bands);
        float sum = 0.0F;
        for (const float band : bands) sum += band;
        CAPTURE(k);
        CHECK(sum > 0.0F);
        CHECK(sum < 1.001F);
        power[k] = 0.0F;
    }
}

TEST_CASE("octave bands share a flat spectrum by their widths") {
    const int per_octave = GENERATE(1, 3);
    const FilterBank bank = FilterBank::octave(kBins, kBinHz, per_octave, 60.0, 5100.0);
    const std::vector<float> power(kBins, 1.0F);
    std::vector<float> bands(bank.count());
    bank.process(power, bands);
    for (std::size_t b = 0; b < bank.count(); ++b) {
        const BandEdges& edges = bank.edges(b);
        CHECK(bands[b] == Approx((edges.high_hz - edges.low_hz) / kBinHz).epsilon(1e-4));
    }
}

TEST_CASE("equal band energies have no cepstrum but the level") {
    Mfcc mfcc(20, 6);
    std::vector<float> cepstrum(6);
    mfcc.process(std::vector<float>(20, 0.01F), cepstrum);
    CHECK(cepstrum[0] == Approx(std::log(0.01) * std::sqrt(20.0)).epsilon(1e-5));
    for (std::size_t c = 1; c < 6; ++c) CHECK(cepstrum[c] == Approx(0.0).margin(1e-4));
}

TEST_CASE("banks and cepstra without sense are refused") {
    CHECK_THROWS_AS(FilterBank::mel(kBins, kBinHz, 0, 50.0, 8000.0), std::invalid_argument);
    CHECK_THROWS_AS(FilterBank::mel(kBins, kBinHz, 40, 8000.0, 50.0), std::invalid_argument);
    CHECK_THROWS_AS(FilterBank::octave(kBins, kBinHz, 2, 50.0, 8000.0), std::invalid_argument);
    CHECK_THROWS_AS(Mfcc(10, 11), std::invalid_argument);
    CHECK_THROWS_AS(Mfcc(10, 0), std::invalid_argument);
}
