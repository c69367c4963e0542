#include <catch2/catch.hpp>
#include <stdexcept>
#include <vector>

#include "classifiers/tone_detector.h"
#include "dsp/framer.h"
#include "dsp/power_spectrum.h"
#include "tests/classifiers/signals.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

// The detector after `samples` (16 kHz) over a floor of flat noise of rms `floor_rms`.
ToneDetector after(const Samples& samples, double floor_rms) {
    ToneDetector detector(55.0, 1300.0);
    dsp::Framer framer(dsp::kFrameSize, dsp::kHop);
    dsp::PowerSpectrum spectrum;
    std::vector<float> power(dsp::kBins);
    // White noise of power p reads 3·p/size in each bin on this scale (twice the noise bandwidth over the
    // size).
    const std::vector<float> floor(
        dsp::kBins, static_cast<float>(2.0 * 1.5 * 2.0 * floor_rms * floor_rms / 1024.0 / 2.0));
    WhitenedFrame whitened;
    std::span<const float> rest(samples);
    while (framer.next(rest)) {
        spectrum.process(framer.frame(), power);
        whitened.process(power, floor);
        detector.process(whitened);
    }
    return detector;
}

} // namespace

TEST_CASE("a voice is found at its own pitch, not at half or double") {
    for (const double f0 : {70.0, 120.0, 190.0, 333.0, 600.0, 958.0}) {
        Samples samples = noise(16000, 1.0, 0.01);
        add(samples,
            voice(
                16000, 1.0, 0.02, [f0](double) { return f0; }, [](double) { return 1.0; }),
            16000, 0.0);
        const ToneDetector detector = after(samples, 0.01);
        INFO("f0 " << f0);
        CHECK(detector.track() > 8.0F);
        CHECK(detector.f0_hz() == Approx(f0).epsilon(0.04));
    }
}

TEST_CASE("plain noise stays under the default threshold") {
    const SegmentSettings settings;
    for (std::uint32_t seed = 1; seed < 20; ++seed) {
        CHECK(after(noise(16000, 1.0, 0.01, seed), 0.01).track() < settings.tone_on);
    }
}

TEST_CASE("pitch ranges outside 50 to 2600 Hz are refused") {
    CHECK_THROWS_AS(ToneDetector(40.0, 500.0), std::invalid_argument);
    CHECK_THROWS_AS(ToneDetector(100.0, 3000.0), std::invalid_argument);
    CHECK_THROWS_AS(ToneDetector(500.0, 100.0), std::invalid_argument);
}
