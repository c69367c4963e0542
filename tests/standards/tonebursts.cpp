// Response to 4 kHz tonebursts relative to the steady tone, IEC 61672-1 (reference values computed from the
// definition; they equal the standard's table as remembered). Tolerance 0.2 dB: the table is rounded to 0.1,
// the burst's edges are whole periods.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "dsp/level_meter.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

constexpr double kRate = 48000.0;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

struct Burst {
    double length_ms;
    double fast_maximum_db;
    double slow_maximum_db;
    double exposure_db;
};

constexpr Burst kTable[] = {{1000, 0.0, -2.0, 0.0},    {500, -0.1, -4.1, -3.0},  {200, -1.0, -7.4, -7.0},
                            {100, -2.6, -10.2, -10.0}, {50, -4.8, -13.1, -13.0}, {20, -8.3, -17.0, -17.0},
                            {10, -11.1, -20.0, -20.0}, {5, -14.1, -23.0, -23.0}, {2, -18.0, -27.0, -27.0},
                            {1, -21.0, kNone, -30.0}};

LevelMeter after_burst(double length_ms, TimeWeighting time_weighting) {
    LevelMeter meter(kRate, Weighting::kA, time_weighting);
    meter.process(signals::sine(4000.0, kRate, static_cast<std::size_t>(length_ms * kRate / 1000.0), 0.5));
    meter.process(std::vector<float>(48000, 0.0F));
    return meter;
}

// The steady tone's A-weighted level, over one second.
double steady_db() {
    LevelMeter meter(kRate, Weighting::kA, TimeWeighting::kFast);
    const std::vector<float> tone = signals::sine(4000.0, kRate, 48000, 0.5);
    meter.process(tone);
    meter.clear();
    meter.process(tone);
    return meter.equivalent_db();
}

} // namespace

TEST_CASE("F and S maxima and the exposure level of tonebursts are those of IEC 61672-1") {
    const double steady = steady_db();
    for (const Burst& burst : kTable) {
        CAPTURE(burst.length_ms);
        const LevelMeter fast = after_burst(burst.length_ms, TimeWeighting::kFast);
        CHECK(fast.maximum_db() - steady == Approx(burst.fast_maximum_db).margin(0.2));
        CHECK(fast.exposure_db() - steady == Approx(burst.exposure_db).margin(0.2));
        if (std::isnan(burst.slow_maximum_db)) continue;
        const LevelMeter slow = after_burst(burst.length_ms, TimeWeighting::kSlow);
        CHECK(slow.maximum_db() - steady == Approx(burst.slow_maximum_db).margin(0.2));
    }
}
