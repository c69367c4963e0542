// Base-ten octave and third-octave band edges of IEC 61260-1 (octave edges computed from the definition).
#include <catch2/catch.hpp>

#include "dsp/filter_bank.h"

using namespace quietpass::dsp;

TEST_CASE("octave bands have the exact edges of IEC 61260-1") {
    const auto check = [](int index, double centre, double low, double high) {
        const BandEdges edges = octave_band(index, 1);
        CHECK(edges.centre_hz == Approx(centre).margin(0.01));
        CHECK(edges.low_hz == Approx(low).margin(0.01));
        CHECK(edges.high_hz == Approx(high).margin(0.01));
    };
    check(-3, 125.89, 89.13, 177.83);
    check(0, 1000.0, 707.95, 1412.54);
    check(2, 3981.07, 2818.38, 5623.41);
}

TEST_CASE("three third-octave bands fill an octave band without gap or overlap") {
    for (int octave = -4; octave <= 3; ++octave) {
        const BandEdges whole = octave_band(octave, 1);
        CHECK(octave_band(3 * octave - 1, 3).low_hz == Approx(whole.low_hz));
        CHECK(octave_band(3 * octave + 1, 3).high_hz == Approx(whole.high_hz));
        CHECK(octave_band(3 * octave, 3).low_hz == Approx(octave_band(3 * octave - 1, 3).high_hz));
    }
}
