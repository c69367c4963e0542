// How sounds of a species are cut out of the stream. Part of the profile. Plain values, all in the units
// their names say.
#pragma once

namespace quietpass {

struct SegmentSettings {
    double low_hz = 60.0; // band of the level detector
    double high_hz = 4000.0;
    double f0_low_hz = 50.0; // range of the tone detector, within 50 … 2600 Hz
    double f0_high_hz = 1300.0;
    double level_on_db = 2.4;  // a sound starts when the loudest band is this far over the floor
    double level_off_db = 0.9; // … and ends when it is less than this; 0 < off <= on
    double tone_on = 4.2;      // the same for the tone detector, in points of harmonic salience
    double tone_off = 3.0;
    double shortest_s = 0.15; // shorter sounds are dropped
    double longest_s = 4.0;   // longer ones are cut at their weakest moment; steady ones are dropped. ≤ 8
    double join_s = 0.15;     // pauses up to this are bridged
    friend bool operator==(const SegmentSettings&, const SegmentSettings&) = default;
};

} // namespace quietpass
