#include "dsp/noise_floor.h"

#include <catch2/catch.hpp>
#include <stdexcept>

#include "dsp/decibel.h"
#include "dsp/framer.h"
#include "dsp/power_spectrum.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

constexpr auto kSecond = static_cast<std::size_t>(kAnalysisRateHz);

class Listener {
  public:
    void hear(const std::vector<float>& samples) {
        std::span<const float> rest(samples);
        while (framer_.next(rest)) {
            spectrum_.process(framer_.frame(), power_);
            floor.process(power_);
        }
    }
    // Mean level of the floor over bins 20 … 500, dB.
    double level_db() const {
        double sum = 0.0;
        for (std::size_t k = 20; k < 500; ++k) sum += decibel(static_cast<double>(floor.floor()[k]));
        return sum / 480.0;
    }
    double level_db(std::size_t bin) const { return decibel(static_cast<double>(floor.floor()[bin])); }

    NoiseFloor floor;

  private:
    Framer framer_{kFrameSize, kHop};
    PowerSpectrum spectrum_;
    std::vector<float> power_ = std::vector<float>(kBins);
};

// Mean power in a bin of white noise: 2σ² · noise bandwidth / (size/2).
double expected_db(double deviation) {
    return decibel(2.0 * deviation * deviation * 1.5 * 2.0 / kFrameSize);
}

std::vector<float> sum_of(std::vector<float> a, const std::vector<float>& b) {
    for (std::size_t n = 0; n < a.size(); ++n) a[n] += b[n];
    return a;
}

} // namespace

TEST_CASE("on steady noise the floor is the mean power within half a decibel") {
    Listener listener;
    listener.hear(signals::noise(30 * kSecond, 0.01));
    CHECK(listener.floor.settled());
    CHECK(listener.level_db() == Approx(expected_db(0.01)).margin(0.5));
}

TEST_CASE("a two-second moo does not lift the floor") {
    Listener listener;
    listener.hear(signals::noise(12 * kSecond, 0.01));
    const double before = listener.level_db(10); // 156 Hz
    listener.hear(sum_of(signals::noise(2 * kSecond, 0.01, 2), signals::call(156.25, 2 * kSecond, 0.3)));
    CHECK(listener.level_db(10) == Approx(before).margin(1.5));
    listener.hear(signals::noise(2 * kSecond, 0.01, 3));
    CHECK(listener.level_db(10) == Approx(before).margin(1.5));
}

TEST_CASE("calling for two seconds in every four does not lift the floor") {
    Listener listener;
    listener.hear(signals::noise(10 * kSecond, 0.01));
    const double before = listener.level_db(10);
    for (std::uint32_t turn = 0; turn < 8; ++turn) {
        listener.hear(
            sum_of(signals::noise(2 * kSecond, 0.01, 10 + turn), signals::call(156.25, 2 * kSecond, 0.3)));
        listener.hear(signals::noise(2 * kSecond, 0.01, 30 + turn));
        CHECK(listener.level_db(10) == Approx(before).margin(3.0));
    }
}

TEST_CASE("a new machine 20 dB louder is the floor after ten seconds") {
    Listener listener;
    listener.hear(signals::noise(15 * kSecond, 0.01));
    listener.hear(signals::noise(10 * kSecond + kSecond / 2, 0.1, 5));
    CHECK(listener.level_db() == Approx(expected_db(0.1)).margin(0.7));
}

TEST_CASE("a machine that stops is let go within four seconds") {
    Listener listener;
    listener.hear(signals::noise(15 * kSecond, 0.1));
    listener.hear(signals::noise(4 * kSecond, 0.01, 5));
    CHECK(listener.level_db() == Approx(expected_db(0.01)).margin(2.0));
}

TEST_CASE("a recording that starts with a call finds its floor within the call's first second of rest") {
    Listener listener;
    listener.hear(sum_of(signals::noise(kSecond, 0.01), signals::call(156.25, kSecond, 0.3)));
    listener.hear(signals::noise(kSecond / 2, 0.01, 4));
    CHECK(listener.level_db(10) < expected_db(0.01) + 4.0);
}

TEST_CASE("digital silence keeps the floor positive") {
    Listener listener;
    listener.hear(std::vector<float>(12 * kSecond, 0.0F));
    for (const float floor : listener.floor.floor()) REQUIRE(floor == 1e-12F);
}

TEST_CASE("settings that make no window are refused") {
    CHECK_THROWS_AS(NoiseFloor(0), std::invalid_argument);
    CHECK_THROWS_AS(NoiseFloor(10, {.window_s = 1.0}), std::invalid_argument);
    CHECK_THROWS_AS(NoiseFloor(10, {.quantile = 1.0}), std::invalid_argument);
    CHECK_THROWS_AS(NoiseFloor(10, {.block_s = 0.001}), std::invalid_argument);
}
