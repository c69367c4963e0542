// IEC 61672-1 frequency weightings at the exact frequencies 1000·10^(k/10) Hz: the standard's table, to 0.1
// dB. What a sample rate allows: at 48 kHz ±0.2 dB up to 4 kHz and ±0.5 dB at 8 and 16 kHz; at 16 kHz ±0.2 dB
// up to 4 kHz and the last octave band, whose upper half lies beyond the Nyquist frequency, only to 7 kHz.
// The table itself is rounded to 0.1 dB.
#include <catch2/catch.hpp>
#include <cmath>

#include "dsp/level_meter.h"
#include "dsp/weighting.h"
#include "tests/dsp/signals.h"

using namespace quietpass;
using namespace quietpass::dsp;

namespace {

struct Row {
    int k; // frequency 1000·10^(k/10)
    double a_db;
    double c_db;
    double frequency_hz() const { return 1000.0 * std::pow(10.0, k / 10.0); }
};

constexpr Row kTable[] = {{-15, -39.4, -3.0}, {-12, -26.2, -0.8}, {-9, -16.1, -0.2}, {-6, -8.6, 0.0},
                          {-3, -3.2, 0.0},    {0, 0.0, 0.0},      {3, 1.2, -0.2},    {6, 1.0, -0.8},
                          {9, -1.1, -3.0},    {12, -6.6, -8.5}};

} // namespace

TEST_CASE("the closed form of A and C equals the table of IEC 61672-1 to its rounding") {
    for (const Row& row : kTable) {
        CAPTURE(row.frequency_hz());
        CHECK(weighting_db(Weighting::kA, row.frequency_hz()) == Approx(row.a_db).margin(0.06));
        CHECK(weighting_db(Weighting::kC, row.frequency_hz()) == Approx(row.c_db).margin(0.06));
        CHECK(weighting_db(Weighting::kZ, row.frequency_hz()) == 0.0);
    }
}

TEST_CASE("the A and C filters keep to the table at every usual rate of 44.1 kHz and more") {
    const double rate = GENERATE(44100.0, 48000.0, 88200.0, 96000.0, 192000.0);
    CAPTURE(rate);
    const WeightingFilter a(Weighting::kA, rate);
    const WeightingFilter c(Weighting::kC, rate);
    for (const Row& row : kTable) {
        const double f = row.frequency_hz();
        CAPTURE(f);
        const double tolerance = f < 4500.0 ? 0.2 : 0.5;
        CHECK(a.response_db(f) == Approx(row.a_db).margin(tolerance));
        CHECK(c.response_db(f) == Approx(row.c_db).margin(tolerance));
    }
}

TEST_CASE(
    "at the analysis rate of 16 kHz the A and C filters keep to the table up to 4 kHz and to the curve up to "
    "7") {
    const WeightingFilter a(Weighting::kA, 16000.0);
    const WeightingFilter c(Weighting::kC, 16000.0);
    for (const Row& row : kTable) {
        const double f = row.frequency_hz();
        if (f > 4500.0) continue;
        CAPTURE(f);
        CHECK(a.response_db(f) == Approx(row.a_db).margin(0.2));
        CHECK(c.response_db(f) == Approx(row.c_db).margin(0.2));
    }
    for (const double f : {5000.0, 6000.0, 7000.0}) {
        CAPTURE(f);
        CHECK(a.response_db(f) == Approx(weighting_db(Weighting::kA, f)).margin(0.2));
        CHECK(c.response_db(f) == Approx(weighting_db(Weighting::kC, f)).margin(0.2));
    }
}

TEST_CASE("the filters keep within 0.15 dB of the curve up to 0.45 of any rate from 16 kHz") {
    const double rate = GENERATE(16000.0, 22050.0, 32000.0, 44100.0, 48000.0, 96000.0, 192000.0);
    CAPTURE(rate);
    for (const Weighting weighting : {Weighting::kA, Weighting::kC}) {
        const WeightingFilter filter(weighting, rate);
        for (double f = 10.0; f < std::min(20000.0, 0.45 * rate); f *= 1.05) {
            CAPTURE(f);
            CHECK(filter.response_db(f) == Approx(weighting_db(weighting, f)).margin(0.15));
        }
    }
}

TEST_CASE("a meter fed with sines reads the table") {
    const Weighting weighting = GENERATE(Weighting::kA, Weighting::kC);
    for (const Row& row : kTable) {
        if (row.frequency_hz() < 100.0) continue; // settles within the second
        LevelMeter meter(48000.0, weighting, TimeWeighting::kFast);
        meter.process(signals::sine(row.frequency_hz(), 48000.0, 48000));
        meter.clear();
        meter.process(signals::sine(row.frequency_hz(), 48000.0, 48000));
        CAPTURE(row.frequency_hz());
        CHECK(meter.equivalent_db() ==
              Approx(weighting == Weighting::kA ? row.a_db : row.c_db).margin(row.k > 6 ? 0.5 : 0.2));
    }
}
