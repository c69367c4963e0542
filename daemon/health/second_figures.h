// What one second of a microphone measured, for its health. Plain value.
//
// Times are seconds of the microphone's own sample clock; levels dB re a full-scale sine. level_db is of all
// samples of the second, the band levels of one frame of about a sixth of a second at its start
// (second_spectrum.h): a sample of it that costs next to nothing, many of which make a minute.
#pragma once

namespace quietpass {

struct SecondFigures {
    double start_s = 0.0;
    double end_s = 0.0;
    double level_db = -200.0;   // all frequencies, mean removed
    double clipped_share = 0.0; // of the samples, at full scale
    double rumble_db = -200.0;  // 15 to 80 Hz
    double above_db = -200.0;   // 200 Hz and up
    double body_db = -200.0;    // 200 Hz to 1 kHz
    double high_db = -200.0;    // 2 to 8 kHz, or as far as the sample rate reaches
    double band_db = -200.0;    // 100 Hz to 8 kHz
    double hum_db = -200.0;     // mains lines: 20 multiples of 50 or of 60 Hz, whichever is stronger
    double but_hum_db = -200.0; // 20 Hz and up without these
    int hum_lines = 0;          // of these, the lines that stand 10 dB over what lies between them
};

} // namespace quietpass
