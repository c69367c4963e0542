// `quietpass calibrate`: measures a microphone's sensitivity with an acoustic calibrator, from its device or
// a recording, and adds it to calibrations.csv beside the records. Throws Failure.
#pragma once

#include <string>

namespace quietpass {

struct CalibrateOptions {
    std::string station;      // station file
    std::string microphone;   // its name; may be empty where the station has one
    std::string out;          // folder of the records
    std::string audio;        // a recording of the tone; empty: the microphone's device
    int channel = 0;          // of the recording, from 1; 0: the microphone's own
    double level_db = 94.0;   // the calibrator's, dB SPL
    std::string serial;       // the calibrator's
    std::string at;           // UTC time of the calibration; empty: now
    double steady_s = 5.0;    // of tone
    double patience_s = 60.0; // how long a device is listened to
};

void calibrate(const CalibrateOptions& options);

} // namespace quietpass
