// The health figures of one microphone over one minute of its sample clock. Plain value.
//
// Times are station seconds. Levels are dB re a full-scale sine until the microphone is calibrated, then dB
// SPL. A minute of which no second was heard has no figures at all.
#pragma once

#include <optional>
#include <string>

namespace quietpass {

struct MicrophoneMinute {
    std::string microphone;
    double start_s = 0.0;
    double end_s = 0.0;
    std::optional<double> sensitivity_db; // that was added to the levels; empty: they are re full scale

    double heard_s = 0.0;       // whole seconds that were heard
    double worked_s = 0.0;      // of these, while the line worked
    bool usual_known = false;   // whether its usual levels were learned by the end of the minute
    double level_db = 0.0;      // equivalent level, all frequencies
    double background_db = 0.0; // the level that a tenth of the seconds lies below
    double rumble_db = 0.0;     // medians over the seconds, see second_figures.h
    double body_db = 0.0;
    double high_db = 0.0;
    double hum_db = 0.0;

    // Seconds with a sign of trouble; those of the last four only while the line worked. A second with signs
    // makes no fault yet: see bad_run.h.
    double silent_s = 0.0;
    double clipped_s = 0.0;
    double hum_s = 0.0;
    double wind_s = 0.0;
    double covered_s = 0.0;
    double level_far_s = 0.0;
};

} // namespace quietpass
